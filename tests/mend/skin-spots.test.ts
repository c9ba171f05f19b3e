import { describe, expect, it, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { LARGEST_SHIFT } from '../../src/mend/proof/proof-limits.js';
import { skinSpots } from '../../src/mend/repairs/skin-spots.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { modelOf } from '../support/facts-of.js';
import { chainJoints, type TinySkin, tinyGlb } from '../support/tiny-rig.js';
import { applyRepair, findingsOf } from './apply-repair.js';

const ALL = { allow: new Set(skinSpots.rules) };

/** The weights of a vertex by slot, as shares of 1; those that are 0 left out. */
function weightsAt(
  { influences, slots, weights }: SkinnedPart,
  vertex: number,
): Map<number, number> {
  const found = new Map<number, number>();
  for (let k = influences * vertex; k < influences * (vertex + 1); k++)
    if (weights[k] !== 0) found.set(slots[k] ?? -1, weights[k] ?? NaN);
  return found;
}

async function partOf(bytes: Uint8Array, index = 0): Promise<SkinnedPart> {
  const part = (await modelOf(bytes)).rigs[0]?.parts[index];
  if (part === undefined) throw new Error('the rig has no such mesh');
  return part;
}

const SPOTS = [
  'forgotten-vertices',
  'shin-on-the-head',
  'shin-on-the-thumb',
  'thigh-on-its-partner',
  'faintly-on-its-partner',
  'back-on-the-foot',
  'weights-left-on-the-carrier',
] as const;

describe.each(SPOTS)('%s', (name) => {
  const fault = faultNamed(name);

  // Steps of the storage, and how far a sum may be off full.
  test.each([
    ['float', 1, 1e-6],
    ['u8', 255, 0],
    ['u16', 65535, 0],
  ] as const)('is filled in from around, in %s', async (weights, steps, rounding) => {
    const bytes = buildGlb(fault.puppet, { faults: [fault], weights });
    const mended = await applyRepair(bytes, skinSpots, ALL);
    expect(mended.changes.map(({ rule }) => rule)).toEqual([fault.rule]);
    expect(mended.left).toEqual([]);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    const part = await partOf(mended.bytes);
    const wrong = Array.from({ length: part.vertexCount }, (_, vertex) => vertex).filter(
      (vertex) => {
        const list = [...weightsAt(part, vertex).values()];
        const sum = list.reduce((total, weight) => total + weight * steps, 0);
        const off = Math.abs(rounding === 0 ? Math.round(sum) - steps : sum - steps);
        return off > rounding || list.length > 4 || list.some((weight) => !(weight > 0));
      },
    );
    expect(wrong).toEqual([]);
    const again = await applyRepair(mended.bytes, skinSpots, ALL);
    expect(again.changes).toEqual([]);
  });
});

/** Of a weight: of 0.4 that was painted over, what the ends of the spot take over from past it. */
const HARDLY = 0.05;

test('what was painted over comes back', async () => {
  const fault = faultNamed('shin-on-the-thumb');
  const sound = await partOf(buildGlb(fault.puppet));
  const bytes = buildGlb(fault.puppet, { faults: [fault] });
  const mended = await partOf((await applyRepair(bytes, skinSpots, ALL)).bytes);
  const off = Array.from({ length: sound.vertexCount }, (_, vertex) => {
    const [was, is] = [weightsAt(sound, vertex), weightsAt(mended, vertex)];
    return Math.max(
      ...[...was.keys(), ...is.keys()].map((slot) =>
        Math.abs((was.get(slot) ?? 0) - (is.get(slot) ?? 0)),
      ),
    );
  });
  expect(Math.max(...off)).toBeLessThan(HARDLY);
});

test('the faint fringe of a spot goes with it', async () => {
  const fault = faultNamed('shin-on-the-head');
  const puppet = raisePuppet(fault.puppet);
  fault.apply(puppet, fault.failing);
  for (const part of puppet.parts)
    part.influences = part.influences.map((list): Influence[] => {
      const [[own, weight] = ['', 0], ...more] = list;
      return own === 'shin_L' && list.length === 1
        ? [[own, weight - 0.005], ['head', 0.005], ...more]
        : list;
    });
  const bytes = mainFile(buildPuppet(puppet));
  const rig = (await modelOf(bytes)).rigs[0];
  const slot = rig?.skins[0]?.slotOfJoint[rig.joints.names.indexOf('head')] ?? -1;
  const faint = async (file: Uint8Array): Promise<number> => {
    const part = await partOf(file);
    return Array.from({ length: part.vertexCount }, (_, vertex) => weightsAt(part, vertex)).filter(
      (weights) => (weights.get(slot) ?? 1) < 0.01,
    ).length;
  };
  expect(await faint(bytes)).toBeGreaterThan(3);
  expect(await faint((await applyRepair(bytes, skinSpots, ALL)).bytes)).toBe(0);
});

test('weights that are not numbers are filled in, and what is seen of it is told', async () => {
  const fault = faultNamed('weight-not-a-number');
  const bytes = buildGlb(fault.puppet, { faults: [fault], weights: 'float' });
  const left = await applyRepair(bytes, skinSpots);
  expect(left.left.map(({ rule, why }) => `${rule}: ${why}`)).toEqual([
    'skin.repeat: a pose of this file would show it: a vertex that has no place now gets one; if it may show, add --allow-change skin.repeat',
  ]);
  expect(Buffer.compare(left.bytes, bytes)).toBe(0);
  const mended = await applyRepair(bytes, skinSpots, ALL);
  expect(mended.seen).toEqual(['skin.repeat']);
  expect(mended.changes.map(({ before }) => before)).toEqual([
    '3 vertices with a weight that is not a number; at worst a vertex has no place',
  ]);
  expect(Number.isFinite(mended.shift)).toBe(true);
  expect(await findingsOf(mended.bytes)).toEqual([]);
});

describe('a spot that a clip shows', () => {
  const fault = faultNamed('shin-on-the-head');

  it('is left alone, with how far a vertex would move, until that is allowed', async () => {
    const bytes = buildGlb(fault.puppet, { faults: [fault] });
    const mended = await applyRepair(bytes, skinSpots);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      expect.stringMatching(
        /^a pose of this file would show it: a vertex moves by at least \d\.\d+ % of the size \(limit 0\.0005 %\); if it may show, add --allow-change skin\.stray$/,
      ),
    ]);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
    const allowed = await applyRepair(bytes, skinSpots, ALL);
    expect(allowed.seen).toEqual(['skin.stray']);
    expect(allowed.shift).toBeGreaterThan(LARGEST_SHIFT);
  });

  it('is mended unasked where the file has no such clip, with figures of the worst pose', async () => {
    const puppet = raisePuppet(fault.puppet);
    fault.apply(puppet, fault.failing);
    puppet.clips.splice(0);
    const mended = await applyRepair(mainFile(buildPuppet(puppet)), skinSpots);
    expect(mended.left).toEqual([]);
    expect(mended.seen).toEqual([]);
    expect(mended.shift).toBeLessThan(LARGEST_SHIFT);
    const [change] = mended.changes;
    expect(change?.before).toMatch(
      /^3 vertices that "head" moves by up to 40 %; at worst an edge there grows by \d+(\.\d+)? % of the size \(with "\w+" turned by 60°\)$/,
    );
    const grown = [change?.before, change?.after].map((words) =>
      Number(/([\d.]+) % of the size/.exec(words ?? '')?.[1]),
    );
    const [before = 0, after = 9] = grown;
    expect(before).toBeGreaterThan(5);
    expect(after).toBeLessThan(before / 10);
  });
});

const RINGS = 5;
const AROUND = 8;

/** A tube along +Y, every triangle with vertices of its own, its ends moved by one joint each. */
function openTube(): TinySkin {
  const corner = (ring: number, at: number): Vec3 => {
    const turn = (2 * Math.PI * (at % AROUND)) / AROUND;
    return [0.2 * Math.cos(turn), ring / (RINGS - 1), 0.2 * Math.sin(turn)];
  };
  const positions: Vec3[] = [];
  for (let ring = 0; ring + 1 < RINGS; ring++)
    for (let at = 0; at < AROUND; at++) {
      const [a, b] = [corner(ring, at), corner(ring, at + 1)];
      const [c, d] = [corner(ring + 1, at + 1), corner(ring + 1, at)];
      positions.push(a, d, c, a, c, b);
    }
  const triangles = Array.from({ length: positions.length / 3 }, (_, triangle) => {
    return [3 * triangle, 3 * triangle + 1, 3 * triangle + 2] as const;
  });
  const influences = positions.map(([, y]): Influence[] =>
    y === 0 ? [[0, 1]] : y === 1 ? [[1, 1]] : [],
  );
  return { positions, triangles, influences };
}

const JOINTS = chainJoints([
  [0, 0, 0],
  [0, 1, 0],
]);

/** Of a weight: 32-bit places and weights. */
const EXACT = 1e-5;

/** A tube with something added to its skin. */
function tubeWith(
  positions: readonly Vec3[],
  influences: readonly (readonly Influence[])[],
  edit: (json: GltfJson) => void = () => undefined,
): Uint8Array {
  const tube = openTube();
  const first = tube.positions.length;
  const more = Array.from({ length: positions.length / 3 }, (_, triangle) => {
    return [0, 1, 2].map((k) => first + 3 * triangle + k) as [number, number, number];
  });
  return tinyGlb(
    JOINTS,
    {
      positions: [...tube.positions, ...positions],
      triangles: [...tube.triangles, ...more],
      influences: [...tube.influences, ...influences.map((list) => [...list])],
    },
    edit,
  );
}

describe('vertices that no joint moves', () => {
  it('get weights that rise evenly along a tube, the same wherever edges are hard', async () => {
    const mended = await applyRepair(tubeWith([], []), skinSpots, ALL);
    const part = await partOf(mended.bytes);
    const off = Array.from({ length: part.vertexCount }, (_, vertex) =>
      Math.abs((weightsAt(part, vertex).get(1) ?? 0) - (part.positions[3 * vertex + 1] ?? 9)),
    );
    expect(Math.max(...off)).toBeLessThan(EXACT);
    expect(mended.changes.map(({ before }) => before.split(';')[0])).toEqual([
      `${(RINGS - 2) * AROUND * 6} vertices that no joint moves`,
    ]);
  });

  it('follow the nearest skin where they touch none, and that is said', async () => {
    const loose: Vec3[] = [
      [0.3, 0.95, 0],
      [0.3, 1.1, 0],
      [0.3, 1, 0.1],
    ];
    const mended = await applyRepair(tubeWith(loose, [[], [], []]), skinSpots, ALL);
    const part = await partOf(mended.bytes);
    const last = [3, 2, 1].map((back) => [...weightsAt(part, part.vertexCount - back)]);
    expect(last).toEqual([[[1, 1]], [[1, 1]], [[1, 1]]]);
    expect(mended.changes.map(({ after }) => after)).toEqual([
      expect.stringContaining('3 vertices that touch no good skin follow the nearest skin'),
    ]);
  });

  it('are left alone where the rig has no weights at all', async () => {
    const tube = openTube();
    const bytes = tinyGlb(JOINTS, { ...tube, influences: tube.influences.map(() => []) });
    const mended = await applyRepair(bytes, skinSpots, ALL);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      expect.stringMatching(/^no vertex of the rig has weights/),
    ]);
  });

  it('are left alone where the mesh stores none, and where shapes may show it', async () => {
    const bare = tinyGlb(JOINTS, openTube(), ({ meshes }) => {
      const attributes = meshes?.[0]?.primitives[0]?.attributes;
      delete attributes?.JOINTS_0;
      delete attributes?.WEIGHTS_0;
    });
    const morphed = tinyGlb(JOINTS, openTube(), ({ meshes }) => {
      const primitive = meshes?.[0]?.primitives[0];
      if (primitive !== undefined)
        Object.assign(primitive, { targets: [{ POSITION: primitive.attributes.POSITION }] });
    });
    const whys = [];
    for (const bytes of [bare, morphed]) {
      const mended = await applyRepair(bytes, skinSpots);
      expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
      whys.push(...mended.left.map(({ why }) => why.split(';')[0]));
    }
    expect(whys).toEqual([
      'the mesh stores no weights at all',
      'the mesh has morph targets, and the change may show in their shapes',
    ]);
    const allowed = await applyRepair(morphed, skinSpots, ALL);
    expect(allowed.changes).toHaveLength(1);
  });
});

test('no more joints than the budget are taken over, the largest first', async () => {
  const joints = chainJoints([0, 0.2, 0.4, 0.6, 0.8, 1].map((y): Vec3 => [0, y, 0]));
  // A fan of triangles around one vertex, each corner moved by another joint.
  const rim = Array.from({ length: 6 }, (_, at): Vec3 => {
    const turn = (2 * Math.PI * at) / 6;
    // The nearer ones weigh more.
    const radius = 1 + 0.2 * at;
    return [radius * Math.cos(turn), 0, radius * Math.sin(turn)];
  });
  const triangles = rim.map((_, at) => [6, (at + 1) % 6, at] as const);
  const influences = [...rim.map((_, at): Influence[] => [[at, 1]]), []];
  const skin = { positions: [...rim, [0, 0, 0] as const], triangles, influences };
  const mended = await applyRepair(tinyGlb(joints, skin), skinSpots, ALL);
  const part = await partOf(mended.bytes);
  const list = [...weightsAt(part, 6)];
  expect(list).toHaveLength(4);
  expect(list.map(([, weight]) => weight)).toEqual(
    list.map(([, weight]) => weight).sort((a, b) => b - a),
  );
  expect(list.reduce((sum, [, weight]) => sum + weight, 0)).toBeCloseTo(1, 6);
});
