import fc from 'fast-check';

/** Where a mutation takes its choices from: the same source gives the same mutant. */
export interface Draw {
  /** A whole number from `least` to `most`, both included. */
  int(least: number, most: number): number;
  /** One of the items. Throws when there is none. */
  pick<T>(items: readonly T[]): T;
  /** True in this share of the draws, 0 to 1. */
  chance(share: number): boolean;
}

/** What `make` gives with the draws of number `index` in the row that `seed` begins. */
export function drawn<T>(seed: number, index: number, make: (draw: Draw) => T): T {
  // Without a bias: with one, first runs draw small numbers, and here every run is a first one.
  const source = fc.noBias(fc.gen()).map((value) => make(drawFrom(value)));
  const made = fc.sample(source, { seed: scrambled(seed, index), numRuns: 1 });
  const [first] = made;
  if (first === undefined) throw new Error('nothing was drawn');
  return first;
}

function drawFrom(value: fc.GeneratorValue): Draw {
  const int = (min: number, max: number): number => value(fc.integer, { min, max });
  return {
    int,
    pick(items) {
      if (items.length === 0) throw new Error('there is nothing to pick from');
      // The index is below the length, so that the item is there.
      return items[int(0, items.length - 1)] as (typeof items)[number];
    },
    chance: (share) => int(0, 999) < share * 1000,
  };
}

/** Neighbouring seeds begin alike; mixed (the finaliser of MurmurHash3), they do not. */
function scrambled(seed: number, index: number): number {
  let hash = (Math.imul(seed, 0x9e3779b1) + index) | 0;
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return hash ^ (hash >>> 16);
}
