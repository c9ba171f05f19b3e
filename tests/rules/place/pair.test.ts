import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { bothSides, type Card, cards } from '../../support/cards.js';
import { findingsOf, pathsOf, withLimit } from '../../support/findings-of.js';
import { type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** Names of the left and the right joint of each pair, hung on the pair above. */
type Limb = readonly (readonly [left: string, right: string])[];

const byName: Limb = [
  ['arm_L', 'arm_R'],
  ['elbow_L', 'elbow_R'],
  ['hand_L', 'hand_R'],
];
/** Names that tell no side: such pairs are found by their places. */
const byPlace: Limb = [
  ['rod', 'stick'],
  ['pin', 'nail'],
  ['bead', 'knob'],
];

/** Two arms along X from a hub; the right joints moved by `off` each, in metres. */
function joints(limb: Limb, off: readonly Vec3[]): TinyJoint[] {
  const arm = (side: 0 | 1): TinyJoint[] =>
    limb.map((names, k): TinyJoint => {
      const first = 1 + side * limb.length;
      const [x, y, z] = side === 1 ? (off[k] ?? [0, 0, 0]) : [0, 0, 0];
      const at: Vec3 = [(side === 0 ? 1 : -1) * (1 + 0.5 * k) + x, 1 + y, z];
      return { name: names[side], parent: k === 0 ? 0 : first + k - 1, at };
    });
  return [{ name: 'hub', parent: -1, at: [0, 0, 0] }, ...arm(0), ...arm(1)];
}

/** Size is 10 m: the corners are 6 and 8 apart. */
const body: readonly Card[] = bothSides([
  { at: [3, 4, 0], by: [[0, 1]] },
  { at: [3, -4, 0], by: [[0, 1]] },
]);
const arms: readonly Card[] = [1, 2, 3].flatMap((k): Card[] => [
  { at: [0.5 + 0.5 * k, 1, 0], by: [[k, 1]] },
  { at: [-0.5 - 0.5 * k, 1, 0], by: [[k + 3, 1]] },
]);

const check = (limb: Limb, off: readonly Vec3[], change = {}, more = arms) =>
  findingsOf(tinyGlb(joints(limb, off), cards([...body, ...more])), 'place.pair', change);

const still: Vec3 = [0, 0, 0];

describe('a pair by name', () => {
  test.each([
    [0.149, []],
    [0.151, ['hub/arm_R/elbow_R']],
  ])('is told over 1.5 %% of size off its mirrored place: at %d m', async (z, expected) => {
    expect(pathsOf(await check(byName, [still, [0, 0, z], still]))).toEqual(expected);
    expect(pathsOf(await check(byName, [still, [0, -z, 0], still]))).toEqual(expected);
    expect(pathsOf(await check(byName, [still, [z, 0, 0], still]))).toEqual(expected);
  });

  test('is judged against the limit of the standard', async () => {
    const off: Vec3[] = [still, [0, 0, 0.151], still];
    expect(pathsOf(await check(byName, off, withLimit('place.pair', { distance: 2 })))).toEqual([]);
  });

  test('is not judged when it moves no skin', async () => {
    const { findings, measured } = await check(byName, [[0, 0, 1], still, still], {}, []);
    expect(findings).toEqual([]);
    expect(measured).toMatchObject([{ because: 'the rig has no pairs that move skin' }]);
  });
});

describe('a pair by place', () => {
  test.each([
    [0.049, []],
    [0.051, ['hub/stick/nail']],
  ])('is told over a limit of 0.5 %% of size: at %d m', async (z, expected) => {
    const limit = withLimit('place.pair', { distance: 0.5 });
    const said = await check(byPlace, [still, [0, 0, z], still], limit);
    expect(pathsOf(said)).toEqual(expected);
    expect(said.measured).toMatchObject([{ kind: 'judged', looked: 3, of: 'pairs' }]);
  });

  test('is told of by the names of both', async () => {
    const limit = withLimit('place.pair', { distance: 0.5 });
    const { findings } = await check(byPlace, [still, [0, 0, 0.1], still], limit);
    expect(findings.map(({ message }) => message)).toEqual([
      '"nail" stands 1 % of size (0.1 m) off the mirrored place of "pin" (limit 0.5 %).',
    ]);
  });
});

describe('a limb', () => {
  test('that is off as a whole is told once, at its first pair, with the count below', async () => {
    const { findings, measured } = await check(byName, [
      [0, 0, 0.2],
      [0, 0, 0.2],
      [0, 0, 0.2],
    ]);
    expect(findings.map(({ place, counts, message }) => [place.path, counts, message])).toEqual([
      [
        'hub/arm_R',
        { looked: 3, short: 3 },
        '"arm_R" stands 2 % of size (0.2 m) off the mirrored place of "arm_L"; 2 pairs below them are off, too (limit 1.5 %).',
      ],
    ]);
    expect(measured).toMatchObject([{ looked: 3, short: 3 }]);
  });

  test('that is off from its middle on is told there', async () => {
    const said = await check(byName, [still, [0, 0, 0.2], [0, 0, 0.2]]);
    expect(pathsOf(said)).toEqual(['hub/arm_R/elbow_R']);
  });

  test('that is off at both ends and not between is told twice', async () => {
    const said = await check(byName, [[0, 0, 0.2], still, [0, 0, 0.2]]);
    expect(pathsOf(said)).toEqual(['hub/arm_R', 'hub/arm_R/elbow_R/hand_R']);
    expect(said.findings.map(({ counts }) => counts?.short)).toEqual([1, 1]);
  });
});

test('nothing is judged on a mesh that is not symmetric', async () => {
  const lamp = Array.from({ length: 8 }, (_, k): Card => ({ at: [1, 0.3 * k, 1], by: [[0, 1]] }));
  const { measured } = await check(byName, [[0, 0, 1], still, still], {}, [...arms, ...lamp]);
  expect(measured).toMatchObject([{ because: 'the mesh is not symmetric about its middle' }]);
});
