import { describe, expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import { bendLab } from '../../../src/measure/bend/bend-lab.js';
import { type BlendTube, blendTube, cutApart } from '../../support/blend-tube.js';
import { factsOf } from '../../support/facts-of.js';
import { chainJoints, type TinyJoint, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

const tube: BlendTube = { from: -0.5, to: 0.5, steps: 8, radius: 0.3 };
/** A carrying joint and one hinge in the middle of the tube. Frames lie along the world. */
const rod = chainJoints([
  [-3, 0, 0],
  [0, 0, 0],
]);

async function labOf(joints: readonly TinyJoint[], skin: TinySkin) {
  return bendLab(await factsOf(tinyGlb(joints, skin)));
}

async function hingeOf(skin: TinySkin) {
  const found = (await labOf(rod, skin)).joints.find(({ joint }) => joint === 1);
  if (found === undefined) throw new Error('the hinge was not bent');
  return found;
}

describe('volume says nothing', () => {
  test('of a card, whose rim runs from standing to turning', async () => {
    const { worst, bends, triangles } = await hingeOf(strip(cardRow));
    expect([triangles, worst.volumeKept]).toEqual([6, null]);
    // The worst bend is then the one that stretches most.
    const all = bends.map((bend) => [bend.inverted, bend.stretch] as const);
    expect(all.every(([inverted]) => inverted === worst.inverted)).toBe(true);
    expect(worst.stretch).toBe(Math.max(...all.map(([, stretch]) => stretch)));
    expect(worst.stretch).toBeGreaterThan(Math.min(...all.map(([, stretch]) => stretch)) + 0.01);
  });

  test('of a card with two faces, which is closed but holds nothing', async () => {
    const card = strip(cardRow);
    const back = card.triangles.map(([a, b, c]): [number, number, number] => [a, c, b]);
    const { worst } = await hingeOf({ ...card, triangles: [...card.triangles, ...back] });
    expect(worst.volumeKept).toBeNull();
  });

  test('of a tube pressed flat as a sheet', async () => {
    const skin = blendTube(tube);
    const positions = skin.positions.map(([x, y, z]) => [x, 1e-3 * y, z] as const);
    expect((await hingeOf({ ...skin, positions })).worst.volumeKept).toBeNull();
  });

  test('of a tube slit along its length', async () => {
    const skin = blendTube(tube);
    const slit = skin.triangles.filter((_, i) => Math.floor(i / 2) % 16 !== 3);
    expect((await hingeOf({ ...skin, triangles: slit })).worst.volumeKept).toBeNull();
  });

  test('of a tube that tears where its corners carry other weights', async () => {
    const torn = cutApart(blendTube(tube));
    const influences = torn.influences.map((list, i): Influence[] => {
      const share = Math.min(1, (list[1]?.[1] ?? 0) + (i % 3 === 0 ? 0.05 : 0));
      return [
        [0, 1 - share],
        [1, share],
      ];
    });
    expect((await hingeOf({ ...torn, influences })).worst.volumeKept).toBeNull();
  });

  test('where no vertex blends: the skin between two rigid pieces', async () => {
    const { worst, triangles } = await hingeOf(blendTube({ ...tube, steps: 1 }));
    expect([triangles, worst.volumeKept]).toEqual([32, null]);
  });

  test.each([
    [1, false],
    [0.2, false],
    [0.05, true],
  ])('of skin that hangs by %d on another branch: measured %s', async (part, measured) => {
    const held = chainJoints([
      [-3, 0, 0],
      [0, 0, 0],
      [-1, 0, 0],
    ]).map((joint, i) => (i === 2 ? { ...joint, parent: 0 } : joint));
    const skin = blendTube(tube);
    const influences = skin.influences.map((list): Influence[] => {
      const [standing, turning] = [list[0]?.[1] ?? 0, list[1]?.[1] ?? 0];
      return [
        [0, (1 - part) * standing],
        [1, turning],
        [2, part * standing],
      ];
    });
    const lab = await labOf(held, { ...skin, influences });
    const hinge = lab.joints.find(({ joint }) => joint === 1);
    expect(hinge).toBeDefined();
    expect(hinge?.worst.volumeKept !== null).toBe(measured);
  });
});

/** A strip of two rows of vertices along X, blended over its length. */
function strip(rows: readonly number[]): TinySkin {
  const last = rows.length - 1;
  return {
    positions: rows.flatMap((x) => [[x, 0.1, 0] as const, [x, -0.1, 0] as const]),
    triangles: rows.slice(1).flatMap((_, i): [number, number, number][] => [
      [2 * i, 2 * i + 1, 2 * i + 2],
      [2 * i + 2, 2 * i + 1, 2 * i + 3],
    ]),
    influences: rows.flatMap((_, i) =>
      [0, 1].map((): Influence[] => [
        [0, 1 - i / last],
        [1, i / last],
      ]),
    ),
  };
}
const cardRow = [-0.3, -0.1, 0.1, 0.3];
