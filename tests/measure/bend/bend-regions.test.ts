import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import { zoneOf } from '../../../src/measure/bend/bend-lab.js';
import { bendMesh, shareWithin } from '../../../src/measure/bend/bend-mesh.js';
import { bendRegions } from '../../../src/measure/bend/bend-regions.js';
import type { Facts } from '../../../src/measure/facts.js';
import { factsOf } from '../../support/facts-of.js';
import { type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

test('the triangles gathered for a joint are those whose shares are neither all none nor all whole', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 2, max: 12 }),
      fc.infiniteStream(fc.nat(1 << 20)),
      async (count, dice) => {
        const roll = (below: number): number => Number(dice.next().value) % below;
        const joints = Array.from({ length: count }, (_, i): TinyJoint => {
          return {
            name: `rod ${i}`,
            parent: i === 0 ? -1 : roll(i + 1) - 1,
            at: [i, roll(9), roll(9)],
          };
        });
        const influences = Array.from({ length: 18 }, (): Influence[] =>
          Array.from({ length: 1 + roll(3) }, () => [roll(count), 1 / 4]),
        );
        const positions = influences.map(() => [roll(9), roll(9), roll(9)] as const);
        const triangles = Array.from({ length: 12 }, () => [roll(18), roll(18), roll(18)] as const);
        expectSameRegions(
          await factsOf(tinyGlb(joints, { positions, influences, triangles: [...triangles] })),
        );
      },
    ),
    { seed: 61, numRuns: 60 },
  );
});

function expectSameRegions(facts: Facts): void {
  const [mesh, regions] = [bendMesh(facts), bendRegions(facts)];
  for (let joint = 0; joint < facts.rig.joints.count; joint++) {
    const expected: number[] = [];
    for (let triangle = 0; triangle < mesh.corners.length / 3; triangle++) {
      const shares = [...mesh.corners.subarray(3 * triangle, 3 * triangle + 3)].map((vertex) =>
        shareWithin(mesh, vertex, joint, regions.branchEnd[joint] ?? 0),
      );
      const alike = shares.every((s) => s < 1e-6) || shares.every((s) => s > 1 - 1e-6);
      if (!alike && regions.turns[joint] === 1) expected.push(triangle);
    }
    const { start, triangles } = regions;
    expect([...triangles.subarray(start[joint], start[joint + 1])]).toEqual(expected);
    expect(zoneOf(facts, joint).corners.length).toBe(3 * expected.length);
  }
}
