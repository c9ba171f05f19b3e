import { beforeEach, expect, it, vi } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import { strayIslands } from '../../../src/measure/skin/stray-skin.js';
import type { Vec3 } from '../../../src/rig/vec3.js';
import { rigOf } from '../../support/facts-of.js';
import { type TinyJoint, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

const counted = vi.hoisted(() => ({ calls: 0 }));
vi.mock('../../../src/measure/geometry/segment-distance.js', async (original) => {
  const { distanceToSegment } =
    await original<typeof import('../../../src/measure/geometry/segment-distance.js')>();
  return {
    distanceToSegment: (p: Vec3, from: Vec3, to: Vec3) => {
      counted.calls++;
      return distanceToSegment(p, from, to);
    },
  };
});
beforeEach(() => {
  counted.calls = 0;
});

const CHILDREN = 1000;
const CARDS = 500;

/** Places all over a ball (after R. Swinbank and R. J. Purser, "Fibonacci grids", 2006; from memory). */
function onBall(count: number, radius: number): Vec3[] {
  return Array.from({ length: count }, (_, at): Vec3 => {
    const [z, turn] = [1 - (2 * at + 1) / count, at * Math.PI * (3 - Math.sqrt(5))];
    const across = Math.sqrt(1 - z * z);
    return [radius * across * Math.cos(turn), radius * across * Math.sin(turn), radius * z];
  });
}

/** A joint with a thousand children, which moves cards far around all of them. */
function fan(): Uint8Array {
  const hub: TinyJoint = { name: 'hub', parent: -1, at: [0, 0, 0] };
  const beads = onBall(CHILDREN, 0.3).map((at, i) => ({ name: `bead_${i}`, parent: 0, at }));
  const cards = onBall(CARDS, 2);
  const skin: TinySkin = {
    positions: cards.flatMap(([x, y, z]): Vec3[] => [
      [x, y, z],
      [x + 0.01, y, z],
      [x, y + 0.01, z + 0.01],
    ]),
    triangles: cards.map((_, at): [number, number, number] => [3 * at, 3 * at + 1, 3 * at + 2]),
    influences: cards.flatMap(() => Array.from({ length: 3 }, (): Influence[] => [[0, 1]])),
  };
  return tinyGlb([hub, ...beads], skin);
}

it('not every bone of a fan of joints is gone through for every vertex', async () => {
  const rig = await rigOf(fan());
  // Its own bones are the nearest that move skin: nothing is painted to another family.
  expect(strayIslands({ rig, wanted: { aim: null, up: null } })).toEqual([]);
  const all = 3 * CARDS * CHILDREN;
  expect(counted.calls).toBeGreaterThan(0);
  expect(counted.calls).toBeLessThan(0.25 * all);
});
