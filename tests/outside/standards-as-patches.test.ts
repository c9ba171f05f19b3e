// Source: RFC 7396 (JSON Merge Patch), section 2: the algorithm MergePatch, in the indentation of
// erratum 4132 of RFC 7386. A standard has no null, so the branch that removes a member never runs.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { withAbove } from '../../src/standard/merge-standards.js';
import type { StandardFile } from '../../src/standard/standard-file.js';

/** A JSON value, objects apart from all others. */
type Members = { readonly [name: string]: unknown };

function isObject(value: unknown): value is Members {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function mergePatch(given: unknown, patch: unknown): unknown {
  if (!isObject(patch)) return patch;
  const target: Record<string, unknown> = isObject(given) ? { ...given } : {};
  for (const [name, value] of Object.entries(patch))
    if (value === null) delete target[name];
    else target[name] = mergePatch(target[name], value);
  return target;
}

/** An object with any of some keys. */
function someOf<T>(shape: { [K in keyof T]: fc.Arbitrary<T[K]> }) {
  return fc.record(shape, { requiredKeys: [] });
}

const names = fc.array(fc.constantFrom('body', 'shin_*', 'crank'), { maxLength: 3 });
const level = fc.constantFrom('error' as const, 'note' as const, 'none' as const);
const number = fc.integer({ min: 1, max: 9 });

/** Parts of a standard that have no rule of their own: no paths, families, ranges or twofold limits. */
const standard = someOf({
  name: fc.constantFrom('stage', 'street'),
  conventions: someOf({
    aim: fc.constantFrom('+X', '-Y'),
    up: fc.constantFrom('+Z', '-Z'),
    unit: fc.constantFrom('cm' as const, 'm' as const),
  }),
  names: someOf({ pattern: fc.constant('{name}'), digits: number }),
  contract: someOf({
    joints: someOf({ required: names, forbidden: names, most: number }),
    clips: someOf({ required: names, rate: number }),
    facing: fc.constantFrom('+Z', '-Z'),
  }),
  rest: fc.constantFrom('bind' as const, 'posed' as const),
  failing: fc.constantFrom('error' as const, 'never' as const),
  levels: someOf({ 'axis.aim': level, 'name.side': level }),
  limits: someOf({
    'axis.aim': someOf({ warn: number, error: number }),
    'axis.up': someOf({ warn: number }),
  }),
  points: someOf({ axis: number, rest: number }),
});

it('a nearer standard is a merge patch of those above it', () => {
  let lists = 0;
  fc.assert(
    fc.property(standard, standard, (near: StandardFile, above: StandardFile) => {
      if (near.contract?.joints?.required && above.contract?.joints?.required) lists++;
      const { levels = {}, ...rest } = withAbove(near, above);
      // What the algorithm makes of two standards has their keys alone.
      const { levels: wanted = {}, ...others } = mergePatch(above, near) as StandardFile;
      expect(rest).toEqual(others);
      expect(levels).toEqual(wanted);
    }),
    { seed: 7396, numRuns: 500 },
  );
  // Some of the pairs had lists at one place, which are not joined.
  expect(lists).toBeGreaterThan(5);
});
