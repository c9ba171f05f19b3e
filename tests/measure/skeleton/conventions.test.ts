import { describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import type { SignedAxis } from '../../../fixtures/kit/frames.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { axisName } from '../../../src/measure/facts.js';
import { conventions } from '../../../src/measure/skeleton/conventions.js';
import { factsOf } from '../../support/facts-of.js';
import { cardSkin, chainJoints, type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

const axes: SignedAxis[] = ['+X', '-X', '+Y', '-Y', '+Z', '-Z'];
const upOf = (aim: SignedAxis): SignedAxis => (aim.endsWith('Z') ? '+X' : '+Z');
const turnedRound = (axis: string): string => `${axis.startsWith('+') ? '-' : '+'}${axis.slice(1)}`;

async function told(bytes: Uint8Array) {
  const found = conventions(await factsOf(bytes));
  const { kind, aim, up, upKnown, votes, voters } = found;
  return {
    kind,
    aim: aim && [axisName(aim.middle), axisName(aim.left), axisName(aim.right)],
    up: up && axisName(up),
    upKnown,
    all: votes === voters,
  };
}

describe.each(castNames)('the frames of the %s', (name) => {
  test.each(axes)('that aim %s are read as such, on both sides', async (aim) => {
    const convention = { aim, up: upOf(aim), mirror: 'negate-side' } as const;
    expect(await told(buildGlb(name, { convention }))).toMatchObject({
      kind: 'aimed',
      aim: [aim, aim, aim],
      all: true,
    });
  });

  test('that are the world’s own are world-aligned', async () => {
    const convention = { aim: '+Y', up: '+Z', mirror: 'negate-all', world: true } as const;
    expect((await told(buildGlb(name, { convention }))).kind).toBe('world-aligned');
  });
});

describe.each(['mule', 'marionette', 'stag-beetle'] as const)(
  'the right side of the %s',
  (name) => {
    test.each([
      ['negate-all', true],
      ['negate-aim', true],
      ['negate-up', false],
      ['negate-side', false],
    ] as const)('mirrored by %s has the aim axis turned round: %s', async (mirror, round) => {
      const convention = { aim: '+X', up: '+Y', mirror } as const;
      const right = round ? turnedRound('+X') : '+X';
      expect((await told(buildGlb(name, { convention }))).aim).toEqual(['+X', '+X', right]);
    });
  },
);

test.each([
  ['+X', '+Y'],
  ['+X', '-Z'],
  ['+Y', '+X'],
  ['-Z', '+Y'],
] as const)('a level body that aims %s with %s up shows its up axis', async (aim, up) => {
  const convention = { aim, up, mirror: 'negate-side' } as const;
  expect(await told(buildGlb('caterpillar', { convention }))).toMatchObject({ up, upKnown: true });
});

test('a standard’s axes go before what the rig shows', async () => {
  const wanted = { aim: { index: 1, sign: 1 }, up: { index: 0, sign: 1 } } as const;
  expect(conventions(await factsOf(buildGlb('mule'), wanted))).toMatchObject({
    kind: 'aimed',
    source: 'standard',
    missed: null,
    aim: { middle: wanted.aim },
    up: wanted.up,
    upKnown: true,
  });
});

test('a rig laid to another axis than the standard’s is held to its own, and known to miss', async () => {
  const wanted = { aim: { index: 2, sign: -1 }, up: { index: 0, sign: 1 } } as const;
  expect(conventions(await factsOf(buildGlb('mule'), wanted))).toMatchObject({
    kind: 'aimed',
    source: 'vote',
    missed: wanted.aim,
    aim: { middle: { index: 1, sign: 1 } },
  });
});

test('a human figure with its arms held out level and frames of the world is world-aligned', async () => {
  const spine: Vec3[] = [
    [0, 1, 0],
    [0, 1.2, 0],
    [0, 1.4, 0],
    [0, 1.6, 0],
  ];
  const limb = (side: 1 | -1): [string, number, Vec3][] => {
    const s = side > 0 ? 'L' : 'R';
    const at = side > 0 ? 4 : 10;
    return [
      [`arm_${s}`, 2, [0.2 * side, 1.4, 0]],
      [`elbow_${s}`, at, [0.45 * side, 1.4, 0]],
      [`hand_${s}`, at + 1, [0.7 * side, 1.4, 0]],
      [`leg_${s}`, 0, [0.1 * side, 0.9, 0]],
      [`knee_${s}`, at + 3, [0.1 * side, 0.5, 0]],
      [`foot_${s}`, at + 4, [0.1 * side, 0.1, 0]],
    ];
  };
  const joints: TinyJoint[] = [
    ...chainJoints(spine),
    ...[...limb(1), ...limb(-1)].map(([name, parent, at]): TinyJoint => ({ name, parent, at })),
  ];
  const bytes = tinyGlb(joints, cardSkin(joints.map(({ at }) => at)));
  expect((await told(bytes)).kind).toBe('world-aligned');
});

test.each<[string, Vec3]>([
  ['+X', [1, 0, 0]],
  ['-Z', [0, 0, -1]],
  ['+Y', [0, 1, 0]],
])('a straight chain along %s with frames of the world is aimed', async (axis, way) => {
  const points = Array.from({ length: 6 }, (_, k): Vec3 => [k * way[0], k * way[1], k * way[2]]);
  const bytes = tinyGlb(chainJoints(points), cardSkin(points));
  expect(await told(bytes)).toMatchObject({ kind: 'aimed', aim: [axis, axis, axis], all: true });
});

test('a rig whose joints agree on no axis is mixed', async () => {
  const puppet = raisePuppet('caterpillar');
  const rings = puppet.joints.filter(({ name }) => /^ring_/.test(name));
  rings.forEach(({ name }, at) => {
    puppet.turnFrame(name, at % 2 === 0 ? 'up' : 'side', 90 * (1 + (at % 3)));
  });
  expect((await told(mainFile(buildPuppet(puppet)))).kind).toBe('mixed');
});

test('a single joint has nothing to aim at', async () => {
  const points: Vec3[] = [[0, 0, 0]];
  expect(await told(tinyGlb(chainJoints(points), cardSkin(points)))).toMatchObject({
    kind: 'unknown',
    aim: null,
    up: null,
  });
});
