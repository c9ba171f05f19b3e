import { describe, expect, test } from 'vitest';
import { wrongSideIslands } from '../../../src/measure/skin/stray-skin.js';
import { bothSides, type Card, cards } from '../../support/cards.js';
import { factsOf } from '../../support/facts-of.js';
import { type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** Size of the rigs here, whose corner cards are 6 and 8 apart. Metres. */
const SIZE = 10;
/** Edge of a card that is nearly a point. */
const CARD = 1e-3;

describe('skin of one side past the midline', () => {
  const TRUNK = 1;
  const LEFT = 2;
  const wings = (left: number): TinyJoint[] => [
    { name: 'hub', parent: -1, at: [0, 0, 0] },
    { name: 'trunk', parent: 0, at: [0, 0.1, 0] },
    { name: 'wing_L', parent: 0, at: [left, 0, 0] },
    { name: 'wing_R', parent: 0, at: [-left, 0, 0] },
  ];
  /** Halves of what the trunk moves; on one of them a spot that the left wing moves as well. */
  async function wrongSide(x: number, edge = CARD, left = 2, others: readonly Card[] = []) {
    const skin = cards([
      { at: [left, 0, 0], by: [[LEFT, 1]], edge: 0.1 },
      { at: [-left, 0, 0], by: [[3, 1]], edge: 0.1 },
      ...bothSides([
        { at: [3, 4, 0], by: [[TRUNK, 1]] },
        { at: [3, -4, 0], by: [[TRUNK, 1]] },
      ]),
      {
        at: [x, 1, 0],
        by: [
          [LEFT, 0.4],
          [TRUNK, 0.6],
        ],
        edge,
      },
      { at: [-x, 1, 0], by: [[TRUNK, 1]], edge },
      ...others,
    ]);
    const facts = await factsOf(tinyGlb(wings(left), skin));
    return wrongSideIslands(facts)?.map(({ joint, nearest, away }) => [
      facts.rig.joints.names[joint],
      facts.rig.joints.names[nearest],
      Math.round((1000 * away) / SIZE) / 10,
    ]);
  }

  test.each([
    [-0.099, []],
    [-0.102, [['wing_L', 'wing_R', 1]]],
    [0.102, []],
  ])('counts over 1 %% of size: a spot at %d m', async (x, expected) => {
    expect(await wrongSide(x)).toEqual(expected);
  });

  test('counts only when all of it lies past it', async () => {
    expect(await wrongSide(-0.4, 0.4)).toEqual([['wing_L', 'wing_R', 2]]);
    expect(await wrongSide(-0.4, 0.7)).toEqual([]);
  });

  test('goes by where the joints stand, not by what they are called', async () => {
    expect(await wrongSide(0.5, CARD, -2)).toEqual([['wing_L', 'wing_R', 5]]);
    expect(await wrongSide(-0.5, CARD, -2)).toEqual([]);
  });

  test('is not looked for on a lopsided mesh', async () => {
    const lamp = Array.from({ length: 4 }, (_, k): Card => ({ at: [2, k, 1], by: [[TRUNK, 1]] }));
    expect(await wrongSide(-0.5, CARD, 2, lamp)).toBeUndefined();
  });
});
