import fc from 'fast-check';
import { expect, it } from 'vitest';
import { listDigest, shareOf } from '../../src/batch/part.js';

const sized = fc.uniqueArray(
  fc.record({ shown: fc.string({ minLength: 1 }), size: fc.nat({ max: 1e9 }) }),
  { selector: (item) => item.shown, maxLength: 60 },
);

it('every path is in exactly one part, each part in list order', () => {
  fc.assert(
    fc.property(sized, fc.integer({ min: 1, max: 12 }), (list, of) => {
      const parts = Array.from({ length: of }, (_, at) => shareOf(list, { index: at + 1, of }));
      expect(parts.flat().length).toBe(list.length);
      expect(new Set(parts.flat())).toEqual(new Set(list));
      for (const part of parts) expect(part).toEqual(list.filter((item) => part.includes(item)));
    }),
    { seed: 20261125 },
  );
});

it('the shares do not depend on the order the files were found in', () => {
  fc.assert(
    fc.property(sized, fc.integer({ min: 1, max: 5 }), (list, of) => {
      const back = [...list].reverse();
      for (let index = 1; index <= of; index++)
        expect(new Set(shareOf(back, { index, of }))).toEqual(
          new Set(shareOf(list, { index, of })),
        );
    }),
    { seed: 20261125 },
  );
});

// Graham 1969, "Bounds on multiprocessing timing anomalies" (from memory): giving each to whoever has
// least never fills one with more than the mean and the largest together.
it('the fullest part is within the known bound', () => {
  fc.assert(
    fc.property(sized, fc.integer({ min: 1, max: 8 }), (list, of) => {
      const costs = list.map((item) => item.size + 65_536);
      const mean = costs.reduce((sum, cost) => sum + cost, 0) / of;
      const largest = Math.max(...costs, 0);
      const loads = Array.from({ length: of }, (_, at) =>
        shareOf(list, { index: at + 1, of }).reduce((sum, item) => sum + item.size + 65_536, 0),
      );
      expect(Math.max(...loads)).toBeLessThanOrEqual((mean + largest) * (1 + 1e-9));
    }),
    { seed: 20261125 },
  );
});

it('lists with other paths have other digests', () => {
  expect(listDigest(['a', 'b'])).not.toBe(listDigest(['a,b']));
  expect(listDigest(['a', 'b'])).toBe(listDigest(['a', 'b']));
});
