import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  boneTree,
  isBoneWithin,
  nearestBone,
  type OwnedBone,
} from '../../../src/measure/geometry/bone-tree.js';
import { distanceToSegment } from '../../../src/measure/geometry/segment-distance.js';
import type { Vec3 } from '../../../src/rig/vec3.js';

const coordinate = fc.double({ min: -3, max: 3, noNaN: true });
const place = fc.tuple(coordinate, coordinate, coordinate);
/** Few places to choose from, so that bones meet, spread from one joint and lie on each other. */
const bones = fc
  .array(place, { minLength: 1, maxLength: 12 })
  .chain((places) =>
    fc.array(fc.tuple(fc.constantFrom(...places), fc.constantFrom(...places)), {
      minLength: 1,
      maxLength: 60,
    }),
  )
  .map((ends) => ends.map(([from, to], at): OwnedBone => ({ joint: at >> 1, from, to })));

const gap = (point: Vec3, { from, to }: OwnedBone): number => distanceToSegment(point, from, to);

describe('the nearest bone of a tree', () => {
  it('is the one that going through them all finds, and of equals the first', () => {
    fc.assert(
      fc.property(bones, place, (list, point) => {
        const least = Math.min(...list.map((bone) => gap(point, bone)));
        const first = list.find((bone) => gap(point, bone) === least);
        expect(nearestBone(boneTree(list), point)).toEqual({
          joint: first?.joint,
          distance: least,
        });
      }),
      { seed: 16, numRuns: 500 },
    );
  });

  it('is none of those that are no nearer than what is known', () => {
    const [from, to]: Vec3[] = [
      [0, 0, 0],
      [0, 1, 0],
    ] as const;
    if (from === undefined || to === undefined) throw new Error('a bone has two ends');
    const tree = boneTree([{ joint: 7, from, to }]);
    const known = { joint: 2, distance: 0.5 };
    expect(nearestBone(tree, [0.6, 0.5, 0], known)).toBe(known);
    expect(nearestBone(tree, [0.4, 0.5, 0], known)).toEqual({ joint: 7, distance: 0.4 });
  });

  it('a bone is within a limit when any is, the limit included', () => {
    fc.assert(
      fc.property(
        bones,
        place,
        fc.double({ min: 0, max: 4, noNaN: true }),
        (list, point, limit) => {
          const within = list.some((bone) => gap(point, bone) <= limit);
          expect(isBoneWithin(boneTree(list), point, limit)).toBe(within);
          const least = Math.min(...list.map((bone) => gap(point, bone)));
          expect(isBoneWithin(boneTree(list), point, least)).toBe(true);
        },
      ),
      { seed: 16, numRuns: 500 },
    );
  });
});
