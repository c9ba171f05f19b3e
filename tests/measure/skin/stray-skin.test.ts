import { describe, expect, test } from 'vitest';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { size } from '../../../src/measure/geometry/bind-mesh.js';
import { strayIslands } from '../../../src/measure/skin/stray-skin.js';
import { type Card, cards, joinSkins } from '../../support/cards.js';
import { factsOf } from '../../support/facts-of.js';
import { type TinyJoint, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

/** Size of all rigs here, between the two pegs. Metres. */
const SIZE = 10;
const CARD = 1e-3;
const ARM = 1;
const HAND = 2;
const LEG = 4;
const ELBOW: Vec3 = [1, 0, 0];

interface Spot {
  /** From the bone of the arm, % of size. */
  readonly away: number;
  /** As many times as far from the arm as from the leg. */
  readonly times?: number;
  /** What the arm moves of it. */
  readonly weight?: number;
}

/** An arm along X from 0 to 1, its hand, a leg that is one joint straight below, and a hub that moves no skin. */
function joints(leg: Vec3): TinyJoint[] {
  return [
    { name: 'hub', parent: -1, at: [-1, 0, 0] },
    { name: 'arm', parent: 0, at: [0, 0, 0] },
    { name: 'hand', parent: 1, at: ELBOW },
    { name: 'peg a', parent: 0, at: [-3, -4, 0] },
    { name: 'leg', parent: 0, at: leg },
    { name: 'peg b', parent: 0, at: [3, 4, 0] },
  ];
}

const own: readonly Card[] = [
  { at: [0, 0.1, 0], by: [[ARM, 1]], edge: 0.1 },
  { at: ELBOW, by: [[HAND, 1]] },
  { at: [-3, -4, 0], by: [[3, 1]] },
  { at: [3, 4, 0], by: [[5, 1]] },
];

type Turn = (point: Vec3) => Vec3;
const asItIs: Turn = (point) => point;

/** Skin of the leg, and a spot straight below the middle of the arm's bone that the arm moves as well. */
async function strayIn({ away, times = 4, weight = 0.4 }: Spot, rig = joints, turn = asItIs) {
  const gap = (away / 100) * SIZE;
  const leg: Vec3 = [0.5, -gap - gap / times, 0];
  const skin = cards([
    ...own,
    { at: leg, by: [[LEG, 1]] },
    {
      at: [0.5, -gap, 0],
      by: [
        [ARM, weight],
        [LEG, 1 - weight],
      ],
    },
  ]);
  return strayOf(
    rig(leg).map((joint) => ({ ...joint, at: turn(joint.at) })),
    { ...skin, positions: skin.positions.map(turn) },
  );
}

async function strayOf(list: readonly TinyJoint[], skin: TinySkin) {
  const facts = await factsOf(tinyGlb(list, skin));
  expect(Math.abs(size(facts) - SIZE)).toBeLessThan(0.01);
  const name = (joint: number): string => facts.rig.joints.names[joint] ?? '';
  return strayIslands(facts).map(({ joint, nearest, vertices, away }) => ({
    joint: name(joint),
    nearest: name(nearest),
    vertices: vertices.length,
    away,
  }));
}

describe('a spot is stray', () => {
  test('when it is far from its joint and beside another', async () => {
    const [told, ...more] = await strayIn({ away: 15 });
    expect(more).toEqual([]);
    expect(told).toMatchObject({ joint: 'arm', nearest: 'leg', vertices: 4 });
    expect(Math.abs((told?.away ?? 0) - 1.5)).toBeLessThan(CARD);
  });

  test.each<[string, Turn]>([
    ['-Y', asItIs],
    ['+Y', ([x, y, z]) => [-x, -y, z]],
    ['+Z', ([x, y, z]) => [x, z, -y]],
    ['-Z', ([x, y, z]) => [x, -z, y]],
    ['+X', ([x, y, z]) => [-y, x, z]],
    ['-X', ([x, y, z]) => [y, -x, z]],
  ])('whichever way it lies: %s', async (_, turn) => {
    expect(await strayIn({ away: 15 }, joints, turn)).toHaveLength(1);
  });

  test.each([
    [9.9, 0],
    [10.1, 1],
  ])('over 10 %% of size away: at %d %% there are %i', async (away, count) => {
    expect(await strayIn({ away })).toHaveLength(count);
  });

  test.each([
    [2.9, 0],
    [3.1, 1],
  ])('over 3 times as far from its own joint: at %d there are %i', async (times, count) => {
    expect(await strayIn({ away: 15, times })).toHaveLength(count);
  });

  test.each([
    [0.049, 30, 0],
    [0.051, 30, 1],
    [0.08, 12, 0],
    [0.09, 12, 1],
  ])(
    'when a turn shows it: with a weight of %d at %i %% of size there are %i',
    async (weight, away, count) => {
      expect(await strayIn({ away, weight })).toHaveLength(count);
    },
  );
});

describe('a spot is not stray', () => {
  test('beside a bone of its own family, however far from its own', async () => {
    // The hand's bone runs to the leg, and the hand is the arm's child.
    const onTheHand = (leg: Vec3): TinyJoint[] =>
      joints(leg).map((joint) => (joint.name === 'leg' ? { ...joint, parent: HAND } : joint));
    expect(await strayIn({ away: 15 })).toHaveLength(1);
    expect(await strayIn({ away: 15 }, onTheHand)).toEqual([]);
  });

  test('beside a bone that moves no skin', async () => {
    const gap = 1.5;
    const skin = cards([
      ...own,
      {
        at: [0.5, -gap, 0],
        by: [
          [ARM, 0.4],
          [5, 0.6],
        ],
      },
    ]);
    expect(await strayOf(joints([0.5, -gap - 0.1, 0]), skin)).toEqual([]);
  });

  test('when one of its vertices lies near enough', async () => {
    const leg: Vec3 = [0.5, -2, 0];
    const influences: Influence[] = [
      [ARM, 0.4],
      [LEG, 0.6],
    ];
    const spot = (top: number): TinySkin => ({
      positions: [
        [0.5, top, 0],
        [0.5, -1.9, 0],
        [0.6, -1.9, 0],
      ],
      triangles: [[0, 1, 2]],
      influences: [influences, influences, influences],
    });
    const others = cards([...own, { at: leg, by: [[LEG, 1]] }]);
    expect(await strayOf(joints(leg), joinSkins([others, spot(-1.8)]))).toHaveLength(1);
    expect(await strayOf(joints(leg), joinSkins([others, spot(-0.9)]))).toEqual([]);
  });

  test('when it is a piece of its own that the joint moves most, as a prop in a hand', async () => {
    expect(await strayIn({ away: 15, weight: 0.49 })).toHaveLength(1);
    expect(await strayIn({ away: 15, weight: 0.51 })).toEqual([]);
  });

  test('but is one, moved as much, when the piece goes on', async () => {
    const leg: Vec3 = [0.5, -2, 0];
    const [arm, rest]: [Influence[], Influence[]] = [[[ARM, 1]], [[LEG, 1]]];
    // Two triangles that share an edge; the arm moves the upper three corners alone.
    const strip: TinySkin = {
      positions: [
        [0.5, -1.8, 0],
        [0.5, -1.9, 0],
        [0.6, -1.9, 0],
        [0.6, -2, 0],
      ],
      triangles: [
        [0, 1, 2],
        [1, 2, 3],
      ],
      influences: [arm, arm, arm, rest],
    };
    const others = cards([...own, { at: leg, by: [[LEG, 1]] }]);
    expect(await strayOf(joints(leg), joinSkins([others, strip]))).toHaveLength(1);
    const whole = { ...strip, influences: [arm, arm, arm, arm] };
    expect(await strayOf(joints(leg), joinSkins([others, whole]))).toEqual([]);
  });

  test('when it is all the skin that the joint has', async () => {
    const gap = 1.5;
    const leg: Vec3 = [0.5, -gap - 0.1, 0];
    const skin = cards([
      ...own.filter(({ by }) => by[0]?.[0] !== ARM),
      { at: leg, by: [[LEG, 1]] },
      {
        at: [0.5, -gap, 0],
        by: [
          [ARM, 0.4],
          [LEG, 0.6],
        ],
      },
    ]);
    expect(await strayOf(joints(leg), skin)).toEqual([]);
  });

  test.each([
    [0.02, 0],
    [0.005, 1],
  ])(
    "when a gradient joins it to the joint's own skin: with %d on the way there are %i",
    async (faint, count) => {
      const leg: Vec3 = [0.5, -2, 0];
      // A ribbon from the arm's bone down to the leg, painted at both ends.
      const rows = [0, -0.5, -1, -1.5, -1.8, -1.9, -2];
      const share = (y: number): number => (y > -0.2 ? 1 : y < -1.7 && y > -1.95 ? 0.4 : faint);
      const ribbon: TinySkin = {
        positions: rows.flatMap((y): Vec3[] => [
          [0.5, y, 0],
          [0.52, y, 0],
        ]),
        triangles: rows.slice(1).flatMap((_, row): [number, number, number][] => [
          [2 * row, 2 * row + 1, 2 * row + 2],
          [2 * row + 1, 2 * row + 3, 2 * row + 2],
        ]),
        influences: rows.flatMap((y): Influence[][] => {
          const list: Influence[] = [
            [ARM, share(y)],
            [LEG, 1 - share(y)],
          ];
          return [list, list];
        }),
      };
      const others = cards([...own.slice(1), { at: leg, by: [[LEG, 1]] }]);
      expect(await strayOf(joints(leg), joinSkins([others, ribbon]))).toHaveLength(count);
    },
  );

  test("never is the joint's own skin, however little of it there is beside what strayed", async () => {
    const leg: Vec3 = [0.5, -2, 0];
    const wide: TinySkin = {
      positions: Array.from(
        { length: 12 },
        (_, k): Vec3 => [0.5 + 0.01 * k, -1.9 + 0.05 * (k % 2), 0],
      ),
      triangles: Array.from({ length: 10 }, (_, k): [number, number, number] => [k, k + 1, k + 2]),
      influences: Array.from({ length: 12 }, (): Influence[] => [
        [ARM, 0.4],
        [LEG, 0.6],
      ]),
    };
    const others = cards([...own, { at: leg, by: [[LEG, 1]] }]);
    expect(await strayOf(joints(leg), joinSkins([others, wide]))).toMatchObject([
      { joint: 'arm', vertices: 12 },
    ]);
  });

  test('along the way that the main patch of an end joint goes', async () => {
    // A shin whose foot hangs elsewhere: its skin runs down, the dewclaw sits beside the lower end.
    const list: TinyJoint[] = [
      { name: 'hub', parent: -1, at: [-1, 0, 0] },
      { name: 'shin', parent: 0, at: [0, 0, 0] },
      { name: 'peg a', parent: 0, at: [-3, -4, 0] },
      { name: 'foot', parent: 0, at: [0, -2.2, 0] },
      { name: 'peg b', parent: 0, at: [3, 4, 0] },
    ];
    const claw: Card = {
      at: [0.1, -2, 0],
      by: [
        [1, 0.4],
        [3, 0.6],
      ],
    };
    const shin = (length: number): TinySkin => ({
      positions: [
        [0, 0, 0],
        [0, -length, 0],
        [0.2, -length, 0],
        [0.2, 0, 0],
        [0.1, 0, 0],
      ],
      triangles: [
        [0, 1, 2],
        [0, 2, 3],
        [0, 3, 4],
      ],
      influences: Array.from({ length: 5 }, (): Influence[] => [[1, 1]]),
    });
    const others = cards([
      claw,
      { at: [0, -2.2, 0], by: [[3, 1]] },
      { at: [-3, -4, 0], by: [[2, 1]] },
      { at: [3, 4, 0], by: [[4, 1]] },
    ]);
    expect(await strayOf(list, joinSkins([shin(0.5), others]))).toHaveLength(1);
    expect(await strayOf(list, joinSkins([shin(1.9), others]))).toEqual([]);
  });
});
