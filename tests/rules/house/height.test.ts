import { describe, expect, test } from 'vitest';
import { build, mainFile } from '../../../fixtures/build.js';
import { rules } from '../../../rules/index.js';
import { parseStandard } from '../../../src/standard/read-standard.js';
import { findingsOf } from '../../support/findings-of.js';

/** The mule, `unitScale` units to the metre, under a standard whose files are in `unit`. */
const check = (unitScale: number, unit: string, height: object, more = {}) => {
  const text = JSON.stringify({ conventions: { unit }, contract: { height, ...more } });
  const { settings } = parseStandard(text, 'house.json', rules);
  return findingsOf(mainFile(build('mule', { unitScale })), 'house.height', settings);
};

/** The mule is some 1.4 m high. */
const RANGE = { from: 1, to: 2 };

describe('the height of a rig', () => {
  test.each([
    [1, 'm'],
    [100, 'cm'],
    [1000, 'mm'],
    [1 / 0.0254, 'in'],
    [1 / 0.3048, 'ft'],
  ])('fits with %d units to the metre under a standard in %s', async (unitScale, unit) => {
    const { findings, measured } = await check(unitScale, unit, RANGE);
    expect(findings).toEqual([]);
    expect(measured).toMatchObject([{ kind: 'judged', looked: 1 }]);
  });

  test.each([
    [1, 'cm', 'm', 100],
    [100, 'm', 'cm', 0.01],
    [1000, 'cm', 'mm', 0.1],
    [1, 'ft', 'm', 3.28],
  ])(
    'with %d units to the metre under a standard in %s: its numbers are in %s, and it is scaled by %d',
    async (unitScale, unit, meant, factor) => {
      const { findings } = await check(unitScale, unit, RANGE);
      expect(findings.map(({ remedy }) => remedy)).toEqual([
        `Set the unit of the export to ${unit}, or scale the whole rig, with its mesh, joints and clips, by ${factor}: its numbers fit only if they are in ${meant}.`,
      ]);
      // What it says mends it.
      const exact = unit === 'ft' ? 1 / 0.3048 : factor;
      expect((await check(unitScale * exact, unit, RANGE)).findings).toEqual([]);
    },
  );

  test('that no unit explains is told with the least that mends it', async () => {
    const low = await check(1, 'm', { from: 4, to: 5 });
    const [finding] = low.findings;
    expect(finding?.limit).toBe(4);
    expect(finding?.unit).toBe('m');
    const factor = 4 / (finding?.measured ?? 0);
    expect(finding?.remedy).toBe(
      `Scale the whole rig, with its mesh, joints and clips, by at least ${factor.toPrecision(3)}.`,
    );
    expect((await check(1.001 * factor, 'm', { from: 4, to: 5 })).findings).toEqual([]);
    const high = await check(1, 'm', { from: 1.2, to: 1.25 });
    expect(high.findings[0]?.limit).toBe(1.25);
    expect(high.findings[0]?.remedy).toContain('by at most 0.');
    expect(high.findings[0]?.identity).not.toBe(finding?.identity);
  });

  test('is measured along the vertical of the standard', async () => {
    const along = async (vertical: string): Promise<number> => {
      const { findings } = await check(1, 'm', { from: 100, to: 101 }, { vertical });
      return findings[0]?.measured ?? 0;
    };
    // Longer than it is high.
    expect(await along('+Z')).toBeGreaterThan(1.2 * (await along('+Y')));
  });

  test('says both numbers where file and range have other units', async () => {
    const { findings } = await check(1, 'cm', RANGE);
    expect(findings[0]?.message).toMatch(
      /^The rig is 0\.01\d\d? m high in its bind pose, 1\.\d\d? cm in the file \(limit 1 m to 2 m\)\.$/,
    );
  });
});
