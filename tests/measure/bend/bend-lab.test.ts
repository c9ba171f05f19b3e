import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import { bendLab } from '../../../src/measure/bend/bend-lab.js';
import { axisWorld } from '../../../src/measure/skeleton/frames.js';
import { aimedConventions } from '../../fixtures/conventions.js';
import { type BlendTube, blendTube, cutApart } from '../../support/blend-tube.js';
import { factsOf } from '../../support/facts-of.js';
import { chainJoints, type TinyJoint, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

const tube: BlendTube = { from: -0.5, to: 0.5, steps: 8, radius: 0.3 };
/** A carrying joint and one hinge in the middle of the tube. Frames lie along the world. */
const rod = chainJoints([
  [-3, 0, 0],
  [0, 0, 0],
]);

/** Float32 positions. Of the measure. */
const FLOAT32 = 1e-5;

async function labOf(joints: readonly TinyJoint[], skin: TinySkin) {
  return bendLab(await factsOf(tinyGlb(joints, skin)));
}

async function hingeOf(skin: TinySkin) {
  const found = (await labOf(rod, skin)).joints.find(({ joint }) => joint === 1);
  if (found === undefined) throw new Error('the hinge was not bent');
  return found;
}

describe('a tube with one hinge', () => {
  test('is bent both ways about the up and the side axis, and only at the hinge', async () => {
    const { joints, rigid } = await labOf(rod, blendTube(tube));
    expect([joints.map(({ joint }) => joint), rigid]).toEqual([[1], 0]);
    expect(
      joints[0]?.bends.map(({ axis, sign, about }) => [axis, sign, about.map(Math.round)]),
    ).toEqual([
      ['up', 1, [0, 1, 0]],
      ['up', -1, [-0, -1, -0]],
      ['side', 1, [0, 0, 1]],
      ['side', -1, [-0, -0, -1]],
    ]);
  });

  test('deforms in the blend and nowhere else', async () => {
    // Eight stretches of sixteen quads; the rigid stretches at both ends keep their shape.
    expect((await hingeOf(blendTube(tube))).triangles).toBe(8 * 16 * 2);
  });

  test('is worst where the bend folds it over the joint below its middle', async () => {
    const above = await hingeOf(blendTube({ ...tube, height: 0.25 }));
    expect([above.worst.axis, above.worst.sign]).toEqual(['side', 1]);
    const below = await hingeOf(blendTube({ ...tube, height: -0.25 }));
    expect([below.worst.axis, below.worst.sign]).toEqual(['side', -1]);
  });

  test('measures the same whether its corners share vertices or not', async () => {
    const [joined, cut] = [blendTube(tube), cutApart(blendTube(tube))];
    expect(cut.positions.length).toBeGreaterThan(5 * joined.positions.length);
    const [a, b] = [await hingeOf(joined), await hingeOf(cut)];
    a.bends.forEach((bend, i) => {
      expect(bend.volumeKept).not.toBeNull();
      expect(Math.abs((bend.volumeKept ?? 0) - (b.bends[i]?.volumeKept ?? 9))).toBeLessThan(
        FLOAT32,
      );
      expect([bend.inverted, bend.stretch]).toEqual([b.bends[i]?.inverted, b.bends[i]?.stretch]);
    });
  });

  test('is not judged by edges of under a thousandth of its size', async () => {
    const skin = blendTube(tube);
    const [count, hair] = [skin.positions.length, 1e-4];
    const hinge = await hingeOf({
      positions: [...skin.positions, [0, 0.2, 0], [hair, 0.2, 0], [0, 0.2, hair]],
      triangles: [...skin.triangles, [count, count + 1, count + 2]],
      influences: [...skin.influences, [[0, 1]], [[1, 1]], [[1, 1]]],
    });
    // The two corners that turn along come away from the one that stands by as much as they turn.
    expect(hinge.worst.stretch).toBe((await hingeOf(skin)).worst.stretch);
  });

  test('measures the same when it is wound inside out', async () => {
    const skin = blendTube(tube);
    const turned = { ...skin, triangles: skin.triangles.map(([a, b, c]) => [a, c, b] as const) };
    const [a, b] = [
      await hingeOf(skin),
      await hingeOf({ ...turned, triangles: [...turned.triangles] }),
    ];
    expect(Math.abs((a.worst.volumeKept ?? 0) - (b.worst.volumeKept ?? 9))).toBeLessThan(FLOAT32);
  });

  test('is not thinned out by dabs of less than a hundredth', async () => {
    const dab = (part: number): number => (part === 1 ? 0.995 : part);
    const [plain, dabbed] = [
      await hingeOf(blendTube(tube)),
      await hingeOf(blendTube({ ...tube, share: dab })),
    ];
    expect(dabbed.triangles).toBe(plain.triangles);
  });
});

test('pieces that each hang on one joint are rigid', async () => {
  const skin = blendTube({ ...tube, steps: 1 });
  const apart = skin.triangles.filter((triangle) => {
    return new Set(triangle.map((vertex) => skin.influences[vertex]?.[1]?.[1])).size === 1;
  });
  expect(apart.length).toBe(64);
  expect(await labOf(rod, { ...skin, triangles: apart })).toEqual({
    joints: [],
    rigid: 1,
    tooMany: false,
  });
});

test('weights across a chain too long to bend joint by joint are told as such', async () => {
  const long = chainJoints(Array.from({ length: 2000 }, (_, i) => [i / 1000, 0, 0]));
  const skin = blendTube({ ...tube, steps: 150 });
  const influences = skin.influences.map((): Influence[] => [
    [0, 0.5],
    [1999, 0.5],
  ]);
  expect(await labOf(long, { ...skin, influences })).toEqual({
    joints: [],
    rigid: 0,
    tooMany: true,
  });
});

test.each(aimedConventions)(
  'a joint is bent about the axis that its letter names: %j',
  async (convention) => {
    const facts = await factsOf(buildGlb('heron', { convention }));
    const bends = bendLab(facts).joints.flatMap(({ joint, bends: all }) =>
      all.map((bend) => ({ joint, bend })),
    );
    expect(bends.length).toBeGreaterThan(40);
    for (const { joint, bend } of bends) {
      const along = axisWorld(facts, joint, bend.local);
      const cosine = along.reduce((sum, value, at) => sum + value * (bend.about[at] ?? 0), 0);
      expect(cosine).toBeGreaterThan(1 - FLOAT32);
    }
  },
);
