import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { size } from '../../../src/measure/geometry/bind-mesh.js';
import { PAIR_TOLERANCE, pairs } from '../../../src/measure/skeleton/pairs.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** Joints below one hub, each with a card of skin, so that the mesh is as symmetric as they are. */
async function rigWith(pegs: readonly (readonly [string, Vec3])[]) {
  const joints: TinyJoint[] = [
    { name: 'hub', parent: -1, at: [0, 1, 0] },
    ...pegs.map(([name, at]): TinyJoint => ({ name, parent: 0, at })),
  ];
  const facts = await factsOf(tinyGlb(joints, cardSkin(joints.map(({ at }) => at))));
  const { list, partner, side, named } = pairs(facts);
  const name = (joint: number): string => facts.rig.joints.names[joint] ?? '';
  return {
    size: size(facts),
    list: list.map(({ left, right, by }) => [name(left), name(right), by]),
    partner: Array.from(partner),
    side,
    named,
  };
}

describe('by name', () => {
  test('left and right of one stem are a pair, wherever they stand', async () => {
    const { list, partner, side } = await rigWith([
      ['wing_R', [0.3, 1, 0]],
      ['wing_L', [0.9, 0.2, 0]],
      ['tail', [0, 0, -1]],
    ]);
    expect(list).toEqual([['wing_L', 'wing_R', 'name']]);
    // In joint order: the tail, the left wing, the right one.
    expect(partner).toEqual([-1, -1, 3, 2]);
    expect(side).toEqual([null, null, 'left', 'right']);
  });

  test('numbers that count through both sides do not part a pair', async () => {
    const { list } = await rigWith([
      ['L_wing_3', [0.5, 1, 0]],
      ['R_wing_4', [-0.5, 0.4, 0]],
    ]);
    expect(list).toEqual([['L_wing_3', 'R_wing_4', 'name']]);
  });

  test('as many of one stem on both sides are paired in order', async () => {
    const { list } = await rigWith([
      ['L_foot_1', [0.5, 0, 0]],
      ['L_foot_2', [0.5, 0, 1]],
      ['R_foot_7', [-0.5, 0, 0.3]],
      ['R_foot_8', [-0.5, 0, 1.3]],
    ]);
    expect(list).toEqual([
      ['L_foot_1', 'R_foot_7', 'name'],
      ['L_foot_2', 'R_foot_8', 'name'],
    ]);
  });

  test('more on one side than on the other leaves all unpaired', async () => {
    const { list } = await rigWith([
      ['L_foot_1', [0.5, 0, 0]],
      ['L_foot_2', [0.5, 0, 1]],
      ['R_foot_7', [-0.5, 0, 0.3]],
    ]);
    expect(list).toEqual([]);
  });

  test('a side that is run together counts only with its partner', async () => {
    const { named } = await rigWith([
      ['wing_L', [0.5, 1, 0]],
      ['wing_R', [-0.5, 1, 0]],
      ['bright', [0, 2, 0]],
      ['legleft', [0.2, 0, 0]],
      ['legright', [-0.2, 0, 0]],
    ]);
    expect(named.map((item) => item?.side ?? null)).toEqual([
      null,
      null,
      'left',
      'right',
      'left',
      'right',
    ]);
  });

  test('without any pair, names tell no side', async () => {
    const { named, side } = await rigWith([
      ['lamp_L', [0.5, 1, 0]],
      ['rod', [0.1, 0, 0]],
    ]);
    expect(named).toEqual([null, null, null]);
    expect(side).toEqual([null, null, null]);
  });
});

describe('by place', () => {
  test('partners are found whichever way they are off, among many', async () => {
    const off = [-0.008, 0, 0.008];
    const steps = off.flatMap((x) => off.flatMap((y) => off.map((z): Vec3 => [x, y, z])));
    const pegs = steps.flatMap(([x, y, z], at): [string, Vec3][] => {
      const [right, up, deep] = [0.3 + 0.031 * at, 0.037 * at, 0.1 * at];
      return [
        [`peg ${at} here`, [right, up, deep]],
        [`peg ${at} there`, [x - right, up + y, deep + z]],
      ];
    });
    const { list } = await rigWith(pegs);
    expect(list).toHaveLength(steps.length);
    for (const [left = '', right, by] of list)
      expect([right, by]).toEqual([String(left).replace('here', 'there'), 'place']);
  });

  test('joints without sides pair up where they mirror; the left stands at +X', async () => {
    const { list, side } = await rigWith([
      ['peg a', [-0.5, 1, 0.2]],
      ['peg b', [0.5, 1, 0.2]],
    ]);
    expect(list).toEqual([['peg b', 'peg a', 'place']]);
    expect(side).toEqual([null, 'right', 'left']);
  });

  test('joints of different depth are none', async () => {
    const joints: TinyJoint[] = [
      { name: 'hub', parent: -1, at: [0, 1, 0] },
      { name: 'a', parent: 0, at: [-0.5, 1, 0] },
      { name: 'b', parent: 0, at: [0.2, 1, 0] },
      { name: 'c', parent: 2, at: [0.5, 1, 0] },
      { name: 'd', parent: 1, at: [-0.2, 1, 0] },
    ];
    const facts = await factsOf(tinyGlb(joints, cardSkin(joints.map(({ at }) => at))));
    expect(pairs(facts).list).toEqual([]);
  });

  test.each([
    [0.9, 1],
    [1.1, 0],
  ])('%d of the tolerance off the mirror makes %i pairs', async (share, count) => {
    const places = (off: number): [string, Vec3][] => [
      ['peg a', [-0.5, 1, 0.2]],
      ['peg b', [0.5, 1, 0.2 + off]],
      // Cards that keep the mesh symmetric and its box the same, whatever the pair does.
      ['low', [0, -1, -1]],
      ...Array.from({ length: 30 }, (_, k): [string, Vec3] => [`mid ${k}`, [0, 0.05 * k, 0.7]]),
    ];
    const still = await rigWith(places(0));
    const { list } = await rigWith(places(share * PAIR_TOLERANCE * still.size));
    expect(list).toHaveLength(count);
  });

  test('a lopsided mesh gives none', async () => {
    const { list } = await rigWith([
      ['peg a', [-0.5, 1, 0]],
      ['peg b', [0.5, 1, 0]],
      ['peg c', [0.4, 2, 0]],
      ['peg d', [0.3, 3, 0]],
    ]);
    expect(list).toEqual([]);
  });

  test('a name that tells the other side is believed', async () => {
    const { list } = await rigWith([
      ['lamp_L', [-0.5, 1, 0]],
      ['peg', [0.5, 1, 0]],
    ]);
    expect(list).toEqual([]);
  });
});

test('joints below a paired joint are on its side', async () => {
  const joints: TinyJoint[] = [
    { name: 'hub', parent: -1, at: [0, 1, 0] },
    { name: 'wing_L', parent: 0, at: [0.5, 1, 0] },
    { name: 'feather', parent: 1, at: [0.9, 1, 0] },
    { name: 'wing_R', parent: 0, at: [-0.5, 1, 0] },
  ];
  const facts = await factsOf(tinyGlb(joints, cardSkin(joints.map(({ at }) => at))));
  expect(pairs(facts).side).toEqual([null, 'left', 'left', 'right']);
});
