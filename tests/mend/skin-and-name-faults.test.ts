import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faults } from '../../fixtures/faults/index.js';
import type { Fault } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { LARGEST_SHIFT } from '../../src/mend/mend-asset.js';
import type { Repair } from '../../src/mend/repair.js';
import { idleJoints } from '../../src/mend/repairs/idle-joints.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { skinWeights } from '../../src/mend/repairs/skin-weights.js';
import { type Repaired, runRepair } from './run-repair.js';

const REPAIRS: readonly Repair[] = [skinWeights, idleJoints, jointNames];

/** Faults that cannot be mended unseen, or that only a person can mend, by what is told of them. */
const LEFT: Readonly<Record<string, RegExp>> = {
  'weights-a-little-short':
    /^3 vertices .* a sum of 1 would move a vertex by at least 0\.\d+ % of the size/,
  'weights-far-short':
    /^3 vertices .* a sum of 1 would move a vertex by at least \d\.\d+ % of the size/,
  'a-step-short':
    /^3 vertices .* a sum of 255 steps would move a vertex by at least 0\.\d+ % of the size/,
  'many-steps-short':
    /^3 vertices .* a sum of 255 steps would move a vertex by at least \d\.\d+ % of the size/,
  'two-meshes-far-short':
    /^3 vertices .* a sum of 1 would move a vertex by at least \d\.\d+ % of the size/,
  'thumbs-of-the-other-side': /clips in other files may use/,
  'arms-of-the-other-side': /clips in other files may use/,
  'side-without-partner': /only a person knows/,
};

interface Case {
  readonly name: string;
  readonly repair: Repair;
  readonly fault: Fault;
  readonly options: BuildOptions;
}

const cases: Case[] = REPAIRS.flatMap((repair) =>
  faults
    // What is not a number is filled in from around: tests/mend/skin-spots.test.ts.
    .filter(({ rule, name }) => repair.rules.includes(rule) && name !== 'weight-not-a-number')
    .flatMap((fault) =>
      (fault.weights === undefined ? (['float', 'u8', 'u16'] as const) : [fault.weights]).map(
        (weights) => ({
          name: `${fault.name}, ${weights} weights`,
          repair,
          fault,
          options: { faults: [fault], weights },
        }),
      ),
    ),
);

describe.each(cases)('$name', ({ repair, fault, options }) => {
  const why = LEFT[fault.name];
  let mending: Promise<Repaired> | undefined;
  /** Mended once for all tests that look at it. */
  const mendedOnce = (): Promise<Repaired> => {
    mending ??= runRepair(repair, buildGlb(fault.puppet, options));
    return mending;
  };

  it(
    why === undefined ? 'is mended, and nothing is seen of it' : 'is left alone, and told why',
    async () => {
      const bytes = buildGlb(fault.puppet, options);
      const mended = await mendedOnce();
      expect(mended.found).toContain(fault.rule);
      expect(mended.added).toEqual([]);
      if (why !== undefined) {
        expect(mended.remaining).toEqual(mended.found);
        expect(mended.changes).toEqual([]);
        // One line a mesh.
        expect([...new Set(mended.left.map(({ rule }) => rule))]).toEqual([fault.rule]);
        expect(mended.left[0]?.why).toMatch(why);
        expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
        return;
      }
      expect(mended.remaining).toEqual([]);
      expect(mended.moved).toBeLessThan(LARGEST_SHIFT);
      expect(mended.left).toEqual([]);
      expect(mended.changes.map(({ rule }) => rule)).toEqual([fault.rule]);
    },
  );

  it('changes nothing when it is mended again', async () => {
    const once = await mendedOnce();
    const twice = await runRepair(repair, once.bytes);
    expect(Buffer.compare(once.bytes, twice.bytes)).toBe(0);
    expect(twice.changes).toEqual([]);
  });
});

it.each(castNames)('the sound %s is left as it is, to the byte', async (name) => {
  const bytes = buildGlb(name);
  for (const repair of REPAIRS) {
    const mended = await runRepair(repair, bytes);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
    expect([...mended.changes, ...mended.left]).toEqual([]);
  }
});
