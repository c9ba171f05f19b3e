import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { GltfJson } from '../../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { placeInside } from '../../../rules/place/inside.js';
import { placeMiddle } from '../../../rules/place/middle.js';
import { size } from '../../../src/measure/geometry/bind-mesh.js';
import { jointsInside, nearOpenBorder } from '../../../src/measure/geometry/inside.js';
import { factsOf, modelOf } from '../../support/facts-of.js';
import { cardSkin, chainJoints, type TinySkin, tinyGlb, tubeSkin } from '../../support/tiny-rig.js';

/** A rod of five joints along X in a tube of radius 0.1; the third stands `off` above its axis. */
const run: readonly Vec3[] = [0, 1, 2, 3, 4].map((x): Vec3 => [x, 0, 0]);
const tube = tubeSkin(run, 0.1, [0, 1, 0]);
const bent = (off: number): Vec3[] => run.map(([x], i): Vec3 => [x, i === 2 ? off : 0, 0]);
/** The tube is 8-sided, so its skin lies between these from the axis. */
const [NEAR, FAR] = [0.1 * Math.cos(Math.PI / 8), 0.1];

const factsFor = (off: number, skin: TinySkin = tube) =>
  factsOf(tinyGlb(chainJoints(bent(off)), skin));

const turnedRound = (skin: TinySkin): TinySkin => ({
  ...skin,
  triangles: skin.triangles.map(([a, b, c]) => [a, c, b] as const),
});

/** The tube without the triangles that have a corner past `end`. */
const cutOff = (end: number): TinySkin => ({
  ...tube,
  triangles: tube.triangles.filter((corners) =>
    corners.every((corner) => (tube.positions[corner]?.[0] ?? 0) < end),
  ),
});

describe('joints of a closed tube', () => {
  test('lie inside it; the end joint is not asked', async () => {
    const { joints, because } = jointsInside(await factsFor(0));
    expect(because).toBeNull();
    expect(joints.map(({ joint, surface }) => [joint, surface])).toEqual(
      [0, 1, 2, 3].map((joint) => [joint, null]),
    );
    for (const { winding } of joints) expect(Math.abs(winding - 1)).toBeLessThan(0.02);
  });

  test('one that is moved out is outside, as far off the skin as it was moved past it', async () => {
    const { joints } = jointsInside(await factsFor(0.5));
    expect(joints.map(({ surface }) => surface === null)).toEqual([true, true, false, true]);
    const surface = joints[2]?.surface;
    expect(surface?.distance).toBeGreaterThan(0.5 - FAR - 1e-6);
    expect(surface?.distance).toBeLessThan(0.5 - NEAR + 1e-6);
    expect(surface?.at[0]).toBeCloseTo(2, 5);
  });

  test('a mesh that is inside out, whole or in part, holds them as well', async () => {
    const both = jointsInside(await factsFor(0, turnedRound(tube)));
    expect(both.joints.every(({ surface }) => surface === null)).toBe(true);
  });

  test('one shell that is inside out in a mesh that is not holds them too', async () => {
    const ball = tubeSkin(
      [
        [0, 9, 0],
        [4, 9, 0],
      ],
      1,
      [0, 1, 0],
    );
    const past = tube.positions.length;
    const all: TinySkin = {
      positions: [...tube.positions, ...ball.positions],
      influences: [...tube.influences, ...ball.influences],
      triangles: [
        ...turnedRound(tube).triangles,
        ...ball.triangles.map(([a, b, c]) => [a + past, b + past, c + past] as const),
      ],
    };
    const { joints } = jointsInside(await factsFor(0, all));
    expect(joints.map(({ surface }) => surface === null)).toEqual([true, true, true, true]);
    expect(joints[1]?.winding).toBeLessThan(-0.9);
  });

  test('a mesh shown a second time inside out does not undo the first', async () => {
    const puppet = raisePuppet('heron');
    const coats = puppet.parts.map((part) => ({ ...part, ...turnedRound(part), costume: 'coat' }));
    puppet.parts.push(...coats);
    const { joints } = jointsInside(await factsOf(mainFile(buildPuppet(puppet))));
    expect(joints.map(({ surface }) => surface === null)).not.toContain(false);
    expect(joints).toHaveLength(22);
  });
});

describe('the rule', () => {
  const limits = { outside: 2 };

  test('tells the one joint, by how much, with the joint and the nearest skin', async () => {
    const facts = await factsFor(0.5);
    const outcome = placeInside.check(facts, limits);
    if (outcome.kind !== 'judged') throw new Error(outcome.because);
    expect([outcome.looked, outcome.short]).toEqual([4, 1]);
    const [finding] = outcome.findings;
    expect(finding?.place).toEqual({ kind: 'joint', joint: 2 });
    expect(finding?.measured).toBeGreaterThan((100 * (0.5 - FAR)) / size(facts) - 1e-4);
    const points = finding?.evidence?.flatMap((item) => (item.kind === 'point' ? [item.at] : []));
    expect(points?.[0]?.[1]).toBeCloseTo(0.5, 5);
    expect(points?.[1]?.[1]).toBeCloseTo(FAR, 2);
  });

  test('is silent up to its limit off the skin', async () => {
    const outcome = placeInside.check(await factsFor(0.15), limits);
    expect(outcome).toMatchObject({ kind: 'judged', findings: [] });
  });

  test('is silent near an open border, and only near it', async () => {
    // The skin stops with the ring at 2 1/3; the vertices past it still count for size, 4.2. So joint 2
    // is 0.35 from the border, within the 0.42 that are near, and joint 3 is 0.67 from it.
    const facts = await factsFor(0, cutOff(2.4));
    const near = [0, 1, 2, 3].map((x) => nearOpenBorder(facts, [x, 0, 0]));
    expect(near).toEqual([false, false, true, false]);
    expect(nearOpenBorder(await factsFor(0), [4, 0, 0])).toBe(false);
    const told = placeInside.check(facts, limits);
    expect(told).toMatchObject({ findings: [{ place: { kind: 'joint', joint: 3 } }] });
    const joints = chainJoints([...run.slice(0, 3), [2.45, 0, 0], [2.6, 0, 0]]);
    const wrist = await factsOf(tinyGlb(joints, cutOff(2.4)));
    const outside = jointsInside(wrist).joints.filter(({ surface }) => surface !== null);
    expect(outside.map(({ joint }) => joint)).toEqual([3]);
    expect(placeInside.check(wrist, { outside: 0 })).toMatchObject({ findings: [] });
  });
});

describe('says why it has nothing to say', () => {
  test('of cards, whose volume is nothing', async () => {
    expect(jointsInside(await factsOf(tinyGlb(chainJoints(run), cardSkin(run)))).because).toBe(
      'the mesh is flat and has no inside',
    );
  });

  test('of cloth: an open mesh beside most of its joints', async () => {
    const cloth = { ...tube, triangles: tube.triangles.filter((_, i) => i % 2 === 0) };
    const joints = chainJoints(run.map(([x]): Vec3 => [x, 1, 0]));
    expect(jointsInside(await factsOf(tinyGlb(joints, cloth))).because).toBe(
      'most joints lie outside an open mesh, as in cloth',
    );
  });

  test('but a closed mesh beside all of its joints is told, joint by joint', async () => {
    const joints = chainJoints(run.map(([x]): Vec3 => [x, 1, 0]));
    const outcome = placeInside.check(await factsOf(tinyGlb(joints, tube)), { outside: 2 });
    expect(outcome).toMatchObject({ kind: 'judged', looked: 4, short: 4 });
  });

  test('of joints with none below them', async () => {
    const single = tinyGlb(chainJoints([[0, 0, 0]]), onto(tube, 0));
    expect(jointsInside(await factsOf(single)).because).toBe(
      'no joint that moves skin has a joint below it',
    );
  });
});

/** The skin moved by one joint alone. */
function onto(skin: TinySkin, joint: number): TinySkin {
  return { ...skin, influences: skin.positions.map((): Influence[] => [[joint, 1]]) };
}

const edited = (change: (json: GltfJson) => void) => tinyGlb(chainJoints(run), tube, change);
const scaled = (by: number): TinySkin => ({
  ...tube,
  positions: tube.positions.map(([x, y, z]): Vec3 => [x * by, y * by, z * by]),
});
const NONE = 'not applicable';
/** What is strange, what each of the two rules makes of it (the places it tells of), and the file. */
const strange: readonly (readonly [string, readonly unknown[], Uint8Array])[] = [
  [
    'only triangles without area',
    [NONE, NONE],
    tinyGlb(chainJoints(run), {
      ...tube,
      triangles: tube.triangles.map(([a]) => [a, a, a] as const),
    }),
  ],
  [
    'some triangles without area',
    [[], []],
    tinyGlb(chainJoints(run), { ...tube, triangles: [...tube.triangles, [0, 0, 0], [1, 1, 2]] }),
  ],
  // All joints stand at the start of the tube's axis, with no bone long enough beside it to cut across.
  ['coordinates of 1e30', [[], NONE], tinyGlb(chainJoints(run), scaled(1e30))],
  [
    'one vertex at 1e30',
    [NONE, NONE],
    tinyGlb(chainJoints(run), {
      ...tube,
      positions: tube.positions.map((p, i): Vec3 => (i === 0 ? [-1e30, 0, 0] : p)),
    }),
  ],
  [
    'a single triangle',
    [NONE, NONE],
    tinyGlb(chainJoints(run), { ...tube, triangles: tube.triangles.slice(0, 1) }),
  ],
  ['points', [NONE, NONE], edited((json) => setMode(json, 0))],
  ['lines', [NONE, NONE], edited((json) => setMode(json, 1))],
  [
    'joints on top of each other',
    [[], NONE],
    tinyGlb(chainJoints(run.map((): Vec3 => [0, 0, 0])), tube),
  ],
  [
    'a mesh shared by two skins',
    [[], []],
    edited((json) => {
      json.skins = [...(json.skins ?? []), ...(json.skins ?? [])];
      json.nodes.push({ name: 'second hide', mesh: 0, skin: 1 });
    }),
  ],
  [
    'a skin used by no node',
    [NONE, NONE],
    edited((json) => {
      for (const node of json.nodes) delete node.skin;
    }),
  ],
  ['no mesh', [NONE, NONE], tinyGlb(chainJoints(run), null)],
];

function setMode(json: GltfJson, mode: number): void {
  for (const mesh of json.meshes ?? [])
    for (const primitive of mesh.primitives) Object.assign(primitive, { mode });
}

test.each(strange)('%s gives an answer and no exception', async (_, outcomes, bytes) => {
  const { rigs } = await modelOf(bytes);
  expect(rigs).toHaveLength(1);
  for (const rig of rigs) {
    const facts = { rig, wanted: { aim: null, up: null } };
    const told = [
      placeInside.check(facts, { outside: 2 }),
      placeMiddle.check(facts, { middle: 60 }),
    ];
    expect(
      told.map((one) =>
        one.kind === 'judged' ? one.findings.map(({ place }) => place) : one.kind,
      ),
    ).toEqual(outcomes);
  }
});
