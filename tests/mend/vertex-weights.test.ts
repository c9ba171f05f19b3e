import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  faultsOf,
  type Influences,
  mendedWeights,
  type WantedWeights,
  wholeSteps,
} from '../../src/mend/weights/vertex-weights.js';

const FLOAT: WantedWeights = { full: 1, tolerance: 1e-3, budget: 4, single: true };
const BYTES: WantedWeights = { full: 255, tolerance: 0, budget: 4, single: true };

const list = (...pairs: (readonly [number, number])[]): Influences =>
  pairs.map(([slot, weight]) => ({ slot, weight }));

describe('the weights of one vertex', () => {
  it('are one a joint first of all, where it stood first', () => {
    expect(mendedWeights(list([7, 0.5], [2, 0.25], [7, 0.25]), FLOAT)).toEqual([
      list([7, 0.75], [2, 0.25]),
    ]);
  });

  it('lose the smallest of too many, and of equals the later, and fill up what is left', () => {
    const crowd = list([0, 100], [1, 20], [2, 20], [3, 95], [4, 20]);
    expect(mendedWeights(crowd, BYTES)[0]).toEqual(list([0, 108], [1, 22], [2, 22], [3, 103]));
  });

  it('keep the sum they had where a full one is no choice', () => {
    const short = list([0, 0.5], [1, 0.25], [1, 0.125]);
    expect(mendedWeights(short, FLOAT)).toEqual([
      list([0, Math.fround(4 / 7)], [1, Math.fround(3 / 7)]),
      list([0, 0.5], [1, 0.375]),
    ]);
  });

  it('are divided by what is left when a negative one goes', () => {
    expect(mendedWeights(list([0, 1.25], [1, -0.25]), FLOAT)[0]).toEqual(list([0, 1]));
  });

  it('are no others where nothing is wrong', () => {
    expect(mendedWeights(list([0, 0.6], [1, 0.3995]), FLOAT)).toEqual([]);
    expect(mendedWeights(list([0, 200], [1, 55]), BYTES)).toEqual([]);
  });

  it('are never more steps than an integer holds', () => {
    const tries = mendedWeights(list([0, 200], [0, 100]), BYTES);
    expect(tries).toEqual([list([0, 255])]);
  });

  it('that are not asked about are not touched', () => {
    const wanted = { full: 1, tolerance: Infinity, budget: Infinity, single: false } as const;
    const bad = list([0, 0.5], [0, 0.2], [1, -0.1], [2, 0.1], [3, 0.1], [4, 0.1]);
    expect(mendedWeights(bad, wanted)).toEqual([]);
    expect(faultsOf(bad, wanted).size).toBe(0);
  });
});

describe('whole steps', () => {
  // Source: the usual example of Hamilton's method of largest remainder (six parties, 100000 votes, ten
  // seats); its values are from memory, and the quotas 4.7, 1.6, 1.58, 1.2, 0.61, 0.31 bear them out.
  it("share out as Hamilton's method does", () => {
    const votes = [47_000, 16_000, 15_800, 12_000, 6_100, 3_100];
    expect(
      wholeSteps(
        votes.map((count) => (10 * count) / 100_000),
        10,
      ),
    ).toEqual([5, 2, 1, 1, 1, 0]);
  });

  it('sum to all and are each less than a step off, whatever the weights', () => {
    const weights = fc.array(fc.double({ min: 1e-6, max: 1, noNaN: true }), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(weights, fc.constantFrom(255, 65_535), (parts, total) => {
        const sum = parts.reduce((all, part) => all + part, 0);
        const exact = parts.map((part) => (part / sum) * total);
        const steps = wholeSteps(exact, total);
        expect(steps.reduce((all, step) => all + step, 0)).toBe(total);
        steps.forEach((step, at) => {
          expect(Math.abs(step - (exact[at] ?? 0))).toBeLessThan(1 + 1e-9);
        });
      }),
      { seed: 11 },
    );
  });
});

it('the first choice has no fault, whatever the weights, where any joint pulls the right way', () => {
  const influence = fc.record({
    slot: fc.nat(6),
    weight: fc.double({ min: -0.5, max: 1, noNaN: true }).map(Math.fround),
  });
  const anything = fc.array(
    influence.filter(({ weight }) => Math.abs(weight) > 1e-3),
    { minLength: 1, maxLength: 8 },
  );
  const pulls = (own: Influences): boolean =>
    own.some(({ slot }) => {
      const same = own.filter((other) => other.slot === slot);
      return same.reduce((sum, { weight }) => sum + weight, 0) > 1e-6;
    });
  fc.assert(
    fc.property(anything.filter(pulls), (own) => {
      const best = faultsOf(own, FLOAT).size === 0 ? own : mendedWeights(own, FLOAT)[0];
      expect(best === undefined ? ['no choice'] : [...faultsOf(best, FLOAT)]).toEqual([]);
    }),
    { seed: 12, numRuns: 500 },
  );
});
