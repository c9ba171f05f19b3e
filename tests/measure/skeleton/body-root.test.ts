import { describe, expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bodyRoot, isBranching, movingChildren } from '../../../src/measure/skeleton/body-root.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** `parents` of joints in tree order, and those that move a card of skin each. */
async function tree(parents: readonly number[], movers: readonly number[], edge = 0.02) {
  const joints = parents.map(
    (parent, index): TinyJoint => ({ name: `peg ${index}`, parent, at: [0, 0.1 * index, 0] }),
  );
  const places = movers.map((joint): Vec3 => joints[joint]?.at ?? [0, 0, 0]);
  const cards = cardSkin(places, edge);
  const influences = cards.influences.map((list) =>
    list.map(([card, weight]): Influence => [movers[Number(card)] ?? 0, weight]),
  );
  const facts = await factsOf(tinyGlb(joints, movers.length > 0 ? { ...cards, influences } : null));
  // Joints are numbered in tree order; these trees are written in it.
  expect(Array.from(facts.rig.joints.parent)).toEqual(parents);
  return facts;
}

describe('the body root', () => {
  test.each<[string, number[], number[], { joint: number; carriers: number[] }]>([
    ['is a topmost joint that moves skin', [-1, 0, 1], [0, 1, 2], { joint: 0, carriers: [] }],
    ['is below one carrier', [-1, 0, 1], [1, 2], { joint: 1, carriers: [0] }],
    ['is below several', [-1, 0, 1, 2], [3], { joint: 3, carriers: [0, 1, 2] }],
    [
      'is an unweighted joint that two moving branches hang on',
      [-1, 0, 0],
      [1, 2],
      { joint: 0, carriers: [] },
    ],
    ['is a branching joint below a carrier', [-1, 0, 1, 1], [2, 3], { joint: 1, carriers: [0] }],
    [
      'is not kept up by a control joint that moves nothing',
      [-1, 0, 0, 2],
      [2, 3],
      { joint: 2, carriers: [0] },
    ],
    [
      'is in the tree with the most skin',
      [-1, 0, -1, 2, 3],
      [1, 3, 4],
      { joint: 3, carriers: [2] },
    ],
    ['is the first joint where there is no mesh', [-1, 0, 1], [], { joint: 0, carriers: [] }],
  ])('%s', async (_title, parents, movers, expected) => {
    expect(bodyRoot(await tree(parents, movers))).toMatchObject(expected);
  });

  test('has all skin of its tree at or below it', async () => {
    const { massBelow } = bodyRoot(await tree([-1, 0, 1, 1], [1, 2, 3]));
    const [top = 0, root = 0, one = 0, two = 0] = massBelow;
    expect(top).toBe(root);
    // Three equal cards of 2 x 2 cm with two sides each: 8 square centimetres a card.
    expect([root, one, two].map((mass) => Math.round(mass * 1e7))).toEqual([24000, 8000, 8000]);
  });

  test('with several topmost joints and no skin is in the tree with the most joints', async () => {
    expect(bodyRoot(await tree([-1, -1, 1, 2], []))).toMatchObject({
      tops: [0, 1],
      main: 1,
      joint: 1,
    });
  });
});

test('no joint of a long even chain is a carrier, however small its share of the skin', async () => {
  const count = 600;
  const every = Array.from({ length: count }, (_, joint) => joint);
  const facts = await tree(
    every.map((joint) => joint - 1),
    every,
  );
  expect(bodyRoot(facts)).toMatchObject({ joint: 0, carriers: [] });
});

test('branching counts only branches that move skin', async () => {
  const facts = await tree([-1, 0, 0, 0, 3], [0, 1, 4]);
  expect(movingChildren(facts, 0)).toEqual([1, 3]);
  expect([isBranching(facts, 0), isBranching(facts, 3)]).toEqual([true, false]);
});
