// Source: the definition of skinning and of morph targets, written out for every vertex, target and pose that a
// bound stands for (glTF 2.0, 3.7.3 Skins and 3.7.2.2 Morph Targets).
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { PartLook } from '../../src/mend/proof/looks.js';
import { mapBetween } from '../../src/mend/proof/proof-maps.js';
import type { PartPair } from '../../src/mend/proof/proof-movers.js';
import { PartBounds } from '../../src/mend/proof/proof-open.js';
import { SkinComparison, SkinMatrices, SkinPose } from '../../src/mend/proof/proof-pose.js';
import { shapeOf } from '../../src/mend/proof/proof-shape.js';
import { blend, compareVertices, type Farthest } from '../../src/mend/proof/proof-vertices.js';
import { MorphWeights } from '../../src/mend/proof/proof-weights.js';
import type { Clip, ClipChannel, Rig, SkinnedPart } from '../../src/rig/types.js';
import { rigOf } from '../support/facts-of.js';

const SEED = 20_261_129;
const [VERTICES, TARGETS] = [6, 3];

/** What a double leaves of sums that are made in another order. Share. */
const ROUNDING = 1e-9;

/** What is left of nothing: world units, and degrees. */
const NEAR = 1e-9;

const number = fc.integer({ min: -1024, max: 1024 }).map((value) => value / 1024);
const list = (length: number) => fc.array(number, { minLength: length, maxLength: length });

const scene = fc.record({
  positions: list(3 * VERTICES),
  directions: list(7 * VERTICES),
  moves: list(9 * VERTICES * TARGETS),
  slots: fc.array(fc.nat({ max: 5 }), { minLength: 3 * VERTICES, maxLength: 3 * VERTICES }),
  bend: list(6 * 12),
  noise: list(13 * VERTICES * (TARGETS + 1)),
  /** How far the inverse bind matrices are from those before, and how far numbers are from what they should be. */
  turned: fc.constantFrom(1e-4, 0.3),
  off: fc.constantFrom(0, 1e-7, 1e-3),
  weights: list(3 * TARGETS),
  /** Two keys of each joint, and how far those after are from them. */
  turns: list(6 * 8),
  drift: fc.constantFrom(0, 0, 1e-3, 0.3),
  time: fc.double({ min: 0, max: 2, noNaN: true }),
  /** What needs no closer look, as a share of what is apart. */
  enough: fc.constantFrom(0.9, 1.1, 3, 10),
});

type Scene = typeof scene extends fc.Arbitrary<infer T> ? T : never;

describe('a part of which a mend stored another shape', async () => {
  const rig = await rigOf(buildGlb('heron'));

  it('is never farther apart than its bounds say, with any targets, in any pose', () => {
    const seen = { told: 0, near: 0, open: 0 };
    fc.assert(
      fc.property(scene, (random) => {
        const { pair, rigs, clips, weights } = made(rig, random);
        const poses = [new SkinPose(rigs[0]), new SkinPose(rigs[1])] as const;
        const skin = new SkinComparison(rigs, [pair], poses, true);
        const bounds = new PartBounds(pair, skin, weights, true);
        for (const [side, pose] of poses.entries()) {
          pose.play(clips[side] ?? null);
          pose.seek(random.time);
        }
        skin.update();
        const [posed] = weights.sample(0, random.time);
        const shapes = {
          posed: apart(pair, skin, [posed]),
          single: apart(pair, skin, singles()),
        };
        const all = [...shapes.posed, ...shapes.single];
        const most = (key: 'distance' | 'turn'): number =>
          Math.max(...all.map((found) => found[key]));
        for (const share of [random.enough, Infinity]) {
          const enough = { distance: share * most('distance'), turn: share * most('turn') };
          // Nothing at all is apart.
          if (Number.isNaN(enough.distance + enough.turn)) continue;
          const said = bounds.take(posed, enough);
          const { places, directions } = said.singles;
          const asked = new Set(said.posed);
          const [far, turned] = [new Set(places), new Set(directions)];
          // How much more than is said the vertices are apart that nobody need look at.
          const beyond = { distance: 0, turn: 0 };
          const hold = (key: keyof typeof beyond, is: number): void => {
            beyond[key] = Math.max(beyond[key], is - said[key] * (1 + ROUNDING) - NEAR);
          };
          for (let vertex = 0; vertex < VERTICES; vertex++) {
            const [own = LOST, alone = LOST] = [shapes.posed[vertex], shapes.single[vertex]];
            if (!asked.has(vertex)) hold('distance', own.distance);
            if (!asked.has(vertex)) hold('turn', own.turn);
            if (!far.has(vertex)) hold('distance', alone.distance);
            if (!turned.has(vertex)) hold('turn', alone.turn);
          }
          expect(beyond).toEqual({ distance: 0, turn: 0 });
          seen.open += asked.size + far.size + turned.size;
          if (said.distance < Infinity && share === Infinity) seen.told++;
          if (said.distance < 10 * most('distance') && share === Infinity) seen.near++;
        }
      }),
      { seed: SEED, numRuns: 120 },
    );
    // Else the bounds say nothing, or leave nothing to look at.
    expect(seen.told).toBeGreaterThan(80);
    expect(seen.near).toBeGreaterThan(30);
    expect(seen.open).toBeGreaterThan(500);
  });
});

const LOST = { distance: Infinity, turn: Infinity };

/** Each target alone. */
function singles(): number[][] {
  return Array.from({ length: TARGETS }, (_, target) =>
    Array.from({ length: TARGETS }, (__, at) => +(at === target)),
  );
}

/** Of each vertex, the most that it is apart with any of some weights. */
function apart(
  { before, after, looks }: PartPair,
  { matrices: [a, b] }: SkinComparison,
  states: readonly ArrayLike<number>[],
): Pick<Farthest, 'distance' | 'turn'>[] {
  return Array.from({ length: VERTICES }, (_, vertex) => {
    const found = states.map((state) =>
      compareVertices(
        { part: before, shape: shapeOf(before, looks?.[0] ?? null, state), matrices: a },
        { part: after, shape: shapeOf(after, looks?.[1] ?? null, state), matrices: b },
        [vertex],
      ),
    );
    return {
      distance: Math.max(...found.map(({ distance }) => distance)),
      turn: Math.max(...found.map(({ turn }) => turn)),
    };
  });
}

/** A random part on the heron's joints, and what a mend makes of it that binds it by other matrices, nearly. */
function made(rig: Rig, random: Scene) {
  const { slots, noise, off } = random;
  const skinBefore = rig.skins[0];
  if (skinBefore === undefined) throw new Error('the heron has a skin');
  const inverseBind = skinBefore.inverseBind.map((value, at) => {
    const [slot, row, column] = [Math.floor(at / 16), at % 4, Math.floor((at % 16) / 4)];
    return row === 3 || slot > 5
      ? value
      : value + random.turned * (random.bend[12 * slot + 3 * column + row] ?? 0);
  });
  const other: Rig = {
    ...rig,
    skins: rig.skins.map((skin, at) => (at === 0 ? { ...skin, inverseBind } : skin)),
  };
  const before: SkinnedPart = {
    ...{ node: 0, mesh: 0, primitive: 0, label: 'mask', sharesVertices: false, skin: 0 },
    ...{ vertexCount: VERTICES, influences: 3, triangles: null, weightSteps: 0 },
    positions: Float32Array.from(random.positions),
    slots: Uint8Array.from(slots),
    weights: Float32Array.from(slots, (_, at) => [0.5, 0.375, 0.125][at % 3] ?? 0),
  };
  const matricesOf = (own: Rig) => {
    const matrices = new SkinMatrices(own, 0, new Set(slots), new SkinPose(own));
    matrices.update();
    return matrices.values;
  };
  const stored = [matricesOf(rig), matricesOf(other)] as const;
  let next = 0;
  const blurred = (value: number): number => value + off * (noise[next++ % noise.length] ?? 0);
  /** As the mend leads it on: through the matrix of its vertex. */
  const led = (values: Float32Array, stride: 3 | 4, w: 0 | 1): Float32Array => {
    const out = Float32Array.from(values);
    const [m, n] = [new Float64Array(12), new Float64Array(12)];
    const map = new Float64Array(12);
    for (let vertex = 0; vertex < VERTICES; vertex++) {
      blend({ part: before, matrices: stored[0] }, vertex, m);
      blend({ part: before, matrices: stored[1] }, vertex, n);
      mapBetween(m, n, map);
      for (let row = 0; row < 3; row++) {
        let sum = w * (map[9 + row] ?? 0);
        for (let i = 0; i < 3; i++)
          sum += (map[3 * i + row] ?? 0) * (values[stride * vertex + i] ?? 0);
        out[stride * vertex + row] = blurred(sum);
      }
    }
    return out;
  };
  const cut = (from: readonly number[], start: number, length: number): Float32Array =>
    Float32Array.from(from.slice(start, start + length));
  const look: PartLook = {
    normals: cut(random.directions, 0, 3 * VERTICES),
    tangents: cut(random.directions, 3 * VERTICES, 4 * VERTICES),
    targets: Array.from({ length: TARGETS }, (_, target) => {
      const at = 9 * VERTICES * target;
      return {
        positions: cut(random.moves, at, 3 * VERTICES),
        normals: cut(random.moves, at + 3 * VERTICES, 3 * VERTICES),
        tangents: target === 0 ? null : cut(random.moves, at + 6 * VERTICES, 3 * VERTICES),
      };
    }),
    weights: new Float64Array(TARGETS),
  };
  const after: SkinnedPart = { ...before, positions: led(before.positions, 3, 1) };
  const directions = (values: Float32Array | null, stride: 3 | 4) =>
    values && led(values, stride, 0);
  const lookAfter: PartLook = {
    ...look,
    normals: directions(look.normals, 3),
    tangents: directions(look.tangents, 4),
    targets: look.targets.map(({ positions, normals, tangents }) => ({
      positions: directions(positions, 3),
      normals: directions(normals, 3),
      tangents: directions(tangents, 3),
    })),
  };
  const channel: ClipChannel = {
    ...{ node: 0, path: 'translation', size: TARGETS, interpolation: 'LINEAR' },
    times: Float32Array.of(0, 1, 2),
    values: Float32Array.from(random.weights, (weight) => 3 * weight),
  };
  const looks = [look, lookAfter] as const;
  const times = [random.time];
  const weights = new MorphWeights(looks, new Map([[0, { times, channels: [channel, channel] }]]));
  const clipOf = (drift: number): Clip => ({
    ...{ index: 0, name: 'play', keyed: new Map() },
    channels: Array.from({ length: 6 }, (_, slot) => ({
      node: rig.joints.node[skinBefore.jointOfSlot[slot] ?? 0] ?? 0,
      ...{ path: 'rotation', size: 4, interpolation: 'LINEAR' },
      times: Float32Array.of(0, 2),
      values: Float32Array.from(random.turns.slice(8 * slot, 8 * slot + 8), (value, at) =>
        at % 4 === 3 ? 1 : 0.5 * value + drift * (noise[8 * slot + at] ?? 0),
      ),
    })),
  });
  const pair: PartPair = { before, after, looks };
  const clips = [clipOf(0), clipOf(random.drift)] as const;
  return { pair, rigs: [rig, other] as const, clips, weights };
}
