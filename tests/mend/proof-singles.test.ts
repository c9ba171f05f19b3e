// Source: the definition of skinning and of morph targets, written out for every vertex with every target (glTF
// 2.0, 3.7.2.2 Morph Targets and 3.7.3 Skins), against what bounds say of all of them at once.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sampleTimes } from '../../src/measure/pose/clip-sampling.js';
import { Editable } from '../../src/mend/file/editable.js';
import type { Looks, PartLook } from '../../src/mend/proof/looks.js';
import { isSeen, proveSame } from '../../src/mend/proof/proof.js';
import { reachBoxes, singleReaches } from '../../src/mend/proof/proof-boxes.js';
import { LARGEST_SHIFT, SURE_SHIFT, SURE_TURN } from '../../src/mend/proof/proof-limits.js';
import { nearVertices } from '../../src/mend/proof/proof-near.js';
import { SkinMatrices, SkinPose } from '../../src/mend/proof/proof-pose.js';
import { shapeOf } from '../../src/mend/proof/proof-shape.js';
import { compareSingles } from '../../src/mend/proof/proof-singles.js';
import { compareVertices } from '../../src/mend/proof/proof-vertices.js';
import { MorphWeights } from '../../src/mend/proof/proof-weights.js';
import { restPose } from '../../src/mend/repairs/rest-pose.js';
import type { RigModel, SkinnedPart } from '../../src/rig/types.js';
import { applyRepair } from './apply-repair.js';
import { manyTargets } from './many-targets.js';
import { shown } from './proof-looks.js';
import { turnFrames } from './turn-frames.js';

const SEED = 20_261_129;

/** What a double leaves of sums that are made in another order. Share. */
const ROUNDING = 1e-9;

describe('vertices with each target alone', () => {
  const [VERTICES, JOINTS, TARGETS] = [6, 3, 4];
  const number = fc.integer({ min: -2048, max: 2048 }).map((value) => value / 1024);
  const list = (length: number) => fc.array(number, { minLength: length, maxLength: length });
  const scene = fc.record({
    positions: list(3 * VERTICES),
    normals: list(3 * VERTICES),
    moves: list(3 * VERTICES * TARGETS),
    turns: list(3 * VERTICES * TARGETS),
    slots: fc.array(fc.nat({ max: JOINTS - 1 }), {
      minLength: 2 * VERTICES,
      maxLength: 2 * VERTICES,
    }),
    matrices: list(16 * JOINTS),
    noise: list(16 * JOINTS),
    size: fc.constantFrom(1, 1e-3, 1e-6),
    distance: fc.constantFrom(0, 1e-6, 1e-3, 10),
    turn: fc.constantFrom(0, 1e-3, 1, 90),
  });

  it('are told of as far apart as the farthest, or as what needs no closer look', () => {
    fc.assert(
      fc.property(scene, ({ positions, normals, moves, turns, slots, ...rest }) => {
        const part: SkinnedPart = {
          ...{ node: 0, mesh: 0, primitive: 0, label: 'mask', sharesVertices: false, skin: 0 },
          vertexCount: VERTICES,
          positions: Float32Array.from(positions),
          triangles: null,
          influences: 2,
          slots: Uint8Array.from(slots),
          weights: Float32Array.from(slots, (_, at) => (at % 2 === 0 ? 0.75 : 0.25)),
          weightSteps: 0,
        };
        const targets = Array.from({ length: TARGETS }, (_, target) => {
          const own = (values: number[]) =>
            Float32Array.from(values.slice(3 * VERTICES * target, 3 * VERTICES * (target + 1)));
          return { positions: own(moves), normals: own(turns), tangents: null };
        });
        const look: PartLook = {
          ...{ normals: Float32Array.from(normals), tangents: null, targets },
          weights: new Float64Array(TARGETS),
        };
        const matrices = Float64Array.from(rest.matrices);
        const others = matrices.map((value, at) => value + rest.size * (rest.noise[at] ?? 0));
        const full = { distance: 0, turn: 0 };
        for (let target = 0; target < TARGETS; target++) {
          const shape = shapeOf(
            part,
            look,
            targets.map((_, at) => (at === target ? 1 : 0)),
          );
          const found = compareVertices(
            { part, shape, matrices },
            { part, shape, matrices: others },
            null,
          );
          full.distance = Math.max(full.distance, found.distance);
          full.turn = Math.max(full.turn, found.turn);
        }
        const { distance, turn } = rest;
        const boxes = reachBoxes(singleReaches(part.positions, look));
        const [a, b] = [
          { part, look, matrices },
          { part, look, matrices: others },
        ];
        const all = Array.from({ length: VERTICES }, (_, vertex) => vertex);
        const near = nearVertices(
          { a, b, maps: null },
          {
            ...{ open: { places: all, directions: all }, single: boxes, posed: boxes },
            ...{ placeOf: null, enough: { distance, turn } },
          },
        );
        const found = compareSingles(a, b, { places: near.single, directions: near.turned });
        const told = {
          distance: Math.max(near.distance, found.distance),
          turn: Math.max(near.turn, found.turn),
        };
        expect(told.distance).toBeGreaterThanOrEqual(full.distance * (1 - ROUNDING));
        expect(told.distance).toBeLessThanOrEqual(
          Math.max(full.distance, distance) * (1 + ROUNDING),
        );
        expect(told.turn).toBeGreaterThanOrEqual(full.turn * (1 - ROUNDING));
        expect(told.turn).toBeLessThanOrEqual(Math.max(full.turn, turn) * (1 + ROUNDING));
      }),
      { seed: SEED, numRuns: 400 },
    );
  });
});

/** What a box of floats leaves of one of doubles. Share. */
const SIZING = 1e-6;

/** As a mend would turn all frames. */
async function turned(bytes: Uint8Array): Promise<Buffer> {
  const edit = await Editable.fromBytes(bytes);
  const { model } = await shown(bytes);
  const turns = [...(model.rigs[0]?.joints.node ?? [])].map((node, at) => {
    const half = 0.3 + 0.1 * at;
    const turn = [0.6 * Math.sin(half), 0, 0.8 * Math.sin(half), Math.cos(half)] as const;
    return [node, turn] as const;
  });
  turnFrames({ edit, model }, new Map(turns));
  return Buffer.from(edit.files().main);
}

interface Read {
  readonly model: RigModel;
  readonly looks: Looks;
}

/** As if no clip weighed a target: each is then shown alone in its poses. */
function still({ model, looks }: Read): Read {
  return { model, looks: { ...looks, tracks: new Map() } };
}

/** The only clip pose by pose: every vertex with every target alone, and with the weights of the pose. */
function everyPose(before: Read, after: Read): { distance: number; turn: number } {
  const sides = [before, after].map(({ model: { rigs }, looks }) => {
    const [rig] = rigs;
    const [part, clip, look] = [rig?.parts[0], rig?.clips[0], looks.parts[0]?.[0]];
    if (rig === undefined || part === undefined || clip === undefined || look === undefined)
      throw new Error('there is one rig with one part and one clip');
    const pose = new SkinPose(rig);
    pose.play(clip);
    const slots = rig.skins[0]?.jointOfSlot.keys() ?? [];
    const matrices = new SkinMatrices(rig, 0, slots, pose);
    const weighed = looks.tracks.get(0)?.get(part.node) ?? null;
    return { part, clip, look, pose, matrices, weighed };
  });
  const [a, b] = sides;
  if (a === undefined || b === undefined) throw new Error('there are two');
  const times = sampleTimes([...a.clip.channels, ...(a.weighed === null ? [] : [a.weighed])]);
  const track = { times, channels: [a.weighed, b.weighed] as const };
  const weights = new MorphWeights([a.look, b.look], new Map([[0, track]]));
  const most = { distance: 0, turn: 0 };
  for (const time of times) {
    const [posed] = weights.sample(0, time);
    for (const { pose, matrices } of sides) {
      pose.seek(time);
      matrices.update();
    }
    const singles = a.look.targets.map((_, target) =>
      a.look.targets.map((__, at) => +(at === target)),
    );
    for (const shares of [posed, ...singles]) {
      const stateOf = ({ part, look, matrices }: typeof a) => ({
        ...{ part, matrices: matrices.values, shape: shapeOf(part, look, shares) },
      });
      const { distance, turn } = compareVertices(stateOf(a), stateOf(b), null);
      most.distance = Math.max(most.distance, distance);
      most.turn = Math.max(most.turn, turn);
    }
  }
  return most;
}

describe('a proof of frames that are turned below many targets', () => {
  // Vertices far from the origin, so that rounding takes them farther than any bound leaves unseen.
  const rough = { copies: 1, targets: 5, keys: 5, swing: 3, away: 60 };

  it.each([
    ['smooth', { ...rough, swing: 0.2, away: 0 }],
    ['rough', rough],
  ])('tells of all that is apart: %s', async (_, much) => {
    const bytes = manyTargets(much);
    const [before, after] = [await shown(bytes), await shown(await turned(bytes))];
    const { clips, poses, targets } = proveSame(before.model, after.model, [
      before.looks,
      after.looks,
    ]);
    expect([poses, targets]).toEqual([10, 5]);
    const full = everyPose(before, after);
    const extent = sizeOf(before.model);
    const share = full.distance / extent;
    expect(clips.share).toBeGreaterThanOrEqual(share * (1 - SIZING));
    expect(clips.share).toBeLessThanOrEqual(Math.max(share * (1 + SIZING), SURE_SHIFT));
    expect(clips.turn).toBeGreaterThanOrEqual(full.turn * (1 - ROUNDING));
    expect(clips.turn).toBeLessThanOrEqual(Math.max(full.turn * (1 + ROUNDING), SURE_TURN));
    // Else the rough one would be told of by bounds alone.
    expect(share > SURE_SHIFT).toBe(much === rough);
  });

  it('sees what only a target that reaches far away shows', async () => {
    const bytes = manyTargets({ ...rough, away: 0, reach: 40 });
    const edit = await Editable.fromBytes(await turned(bytes));
    const matrices = Float32Array.from(edit.read({ kind: 'inverse bind', skin: 0 }) ?? []);
    // A turn so small that nothing shows near the origin.
    const angle = 4e-6;
    for (let at = 0; at < matrices.length; at += 16)
      for (let row = at; row < at + 3; row++)
        matrices[row] = (matrices[row] ?? 0) + angle * (matrices[row + 4] ?? 0);
    edit.write({ kind: 'inverse bind', skin: 0 }, matrices);
    const [before, after] = [
      still(await shown(bytes)),
      still(await shown(Buffer.from(edit.files().main))),
    ];
    const proof = proveSame(before.model, after.model, [before.looks, after.looks]);
    expect(isSeen(proof)).toBe(true);
    expect(proof.share).toBeGreaterThan(LARGEST_SHIFT);
    expect(proof.where?.target).toBeGreaterThanOrEqual(0);
    const full = everyPose(before, after);
    expect(proof.clips.share).toBeCloseTo(full.distance / sizeOf(before.model), 9);
  });

  it('goes through the targets as often for many keys as for few', async () => {
    const readsOf = async (keys: number): Promise<number> => {
      const bytes = manyTargets({ ...rough, keys });
      const [before, after] = [still(await shown(bytes)), still(await shown(await turned(bytes)))];
      const { looks, reads } = counted(before.looks);
      proveSame(before.model, after.model, [looks, after.looks]);
      return reads();
    };
    expect(await readsOf(40)).toBeLessThan(2 * (await readsOf(4)));
  });
});

describe('a proof of a mesh that is bound in the stored pose', () => {
  it('tells of all that is apart, and goes through few targets for it', async () => {
    const bytes = manyTargets({ copies: 1, targets: 6, keys: 6, swing: 0.4, bent: 40 });
    const bound = await applyRepair(bytes, restPose, { restFrom: 'pose' });
    const [before, after] = [await shown(bytes), await shown(bound.bytes)];
    const { looks, reads } = counted(before.looks);
    const { stored, clips, poses, vertices, targets } = proveSame(before.model, after.model, [
      looks,
      after.looks,
    ]);
    const read = reads();
    expect(stored.share).toBeLessThan(SURE_SHIFT);
    expect(stored.turn).toBeLessThan(SURE_TURN);
    const full = everyPose(before, after);
    const share = full.distance / sizeOf(before.model);
    expect(share).toBeGreaterThan(LARGEST_SHIFT);
    expect(clips.share / share).toBeCloseTo(1, 6);
    expect(clips.turn / full.turn).toBeCloseTo(1, 9);
    // Without bounds every vertex of every pose would go through all of them.
    expect(read).toBeLessThan((poses * vertices * targets) / 5);
  });
});

/** Looks that count how often places of their targets are read. */
function counted(looks: Looks): { readonly looks: Looks; readonly reads: () => number } {
  let reads = 0;
  const parts = looks.parts.map((list) =>
    list.map((look) => ({
      ...look,
      targets: look.targets.map((target) => ({
        ...target,
        get positions() {
          reads++;
          return target.positions;
        },
      })),
    })),
  );
  return { looks: { ...looks, parts }, reads: () => reads };
}

function sizeOf({ rigs }: RigModel): number {
  const [positions = new Float32Array()] = rigs.flatMap(({ parts }) =>
    parts.map((part) => part.positions),
  );
  const sides = [0, 1, 2].map((axis) => {
    const along = positions.filter((_, at) => at % 3 === axis);
    return Math.max(...along) - Math.min(...along);
  });
  return Math.hypot(...sides);
}
