import fc from 'fast-check';
import { expect, test } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { gradeAssets } from '../../src/grade/grade-assets.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { LEVELS } from '../../src/kit/finding.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { measuredAsset, type Seen } from './measured-asset.js';

const RUNS = { seed: 20310501, numRuns: 300 };
const settings = { ...defaultSettings(rules), motion: true };

const points = fc
  .array(fc.tuple(fc.constantFrom(...families), fc.integer({ min: 0, max: 400 })), { minLength: 1 })
  .map(
    (list): Record<string, number> =>
      Object.fromEntries(list.map(([family, tenths]) => [family, tenths / 10])),
  )
  .filter((given) => Object.values(given).some((worth) => worth > 0));

const seen = (rule: string): fc.Arbitrary<Seen> =>
  fc
    .record({
      rule: fc.constant(rule),
      looked: fc.option(fc.nat(20), { freq: 5 }),
      short: fc.nat(24),
      stands: fc.boolean(),
      level: fc.constantFrom(...LEVELS),
    })
    .map((item) => ({ ...item, stands: item.stands && item.looked !== null }));

const rig = fc.tuple(...rules.filter(({ scope }) => scope === 'rig').map(({ id }) => seen(id)));
const rigs = fc.array(fc.array(rig, { minLength: 1, maxLength: 3 }), {
  minLength: 1,
  maxLength: 3,
});

const assetsOf = (list: readonly (readonly (readonly Seen[])[])[]): AssetReport[] =>
  list.map((own, at) => measuredAsset(`heron-${at}.glb`, own));

test('points are never below 0 nor above what is possible, and add up to the total', () => {
  fc.assert(
    fc.property(rigs, points, (list, given) => {
      const rubric = rubricOf(given, rules);
      const grade = gradeAssets(assetsOf(list), rubric, settings);
      let [sum, possible] = [0, 0];
      for (const { earned, worth } of grade.families) {
        if (earned === null) continue;
        expect(Number.isInteger(earned)).toBe(true);
        expect(earned).toBeGreaterThanOrEqual(0);
        expect(earned).toBeLessThanOrEqual(worth);
        sum += earned;
        possible += worth;
      }
      expect(grade.earned).toBe(sum);
      expect(grade.possible).toBe(possible);
      expect(grade.scaled === null).toBe(possible === 0);
      expect(grade.scaled ?? 0).toBeLessThanOrEqual(rubric.whole);
    }),
    RUNS,
  );
});

test('more that falls short of one rule, or the same as an error, never raises a grade', () => {
  fc.assert(
    fc.property(
      rigs,
      points,
      fc.nat(1000),
      fc.integer({ min: 1, max: 9 }),
      fc.boolean(),
      (list, given, at, more, graver) => {
        const rubric = rubricOf(given, rules);
        const before = gradeAssets(assetsOf(list), rubric, settings);
        const first = list[0]?.[0] ?? [];
        // A family that had nothing to look at before would be possible now, and partly earned.
        const judged = first.filter(
          ({ looked, stands }) => looked !== null && (looked > 0 || stands),
        );
        const chosen = judged[at % Math.max(1, judged.length)];
        fc.pre(chosen !== undefined);
        const worse = first.map((item) =>
          item === chosen
            ? {
                ...item,
                short: (item.stands ? item.short : 0) + more,
                stands: true,
                ...(graver && { level: 'error' as const }),
              }
            : item,
        );
        const changed = [[worse, ...(list[0] ?? []).slice(1)], ...list.slice(1)];
        const after = gradeAssets(assetsOf(changed), rubric, settings);
        expect(after.scaled ?? 0).toBeLessThanOrEqual(before.scaled ?? 0);
      },
    ),
    RUNS,
  );
});

test('the order of files and rigs does not change a grade', () => {
  fc.assert(
    fc.property(rigs, points, (list, given) => {
      const rubric = rubricOf(given, rules);
      const told = (items: typeof list): unknown => {
        const {
          earned,
          possible,
          scaled,
          families: all,
        } = gradeAssets(assetsOf(items), rubric, settings);
        return [earned, possible, scaled, all.map((family) => family.earned)];
      };
      const turned = [...list].reverse().map((own) => [...own].reverse());
      expect(told(turned)).toEqual(told(list));
    }),
    RUNS,
  );
});
