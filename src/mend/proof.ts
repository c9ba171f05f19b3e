import { ClipPose, sampleTimes } from '../measure/clip-sampling.js';
import { largestShift, type Mat4, mat4At, multiply } from '../rig/mat4.js';
import type { Clip, Rig, RigModel, SkinnedPart } from '../rig/types.js';
import { type Vec3, vec3At } from '../rig/vec3.js';

/** The largest that anything moved from one file to another, relative to the size of its rig. */
export interface Proof {
  /** 0 to whatever; 1 is the size of the rig. */
  readonly share: number;
  readonly where: ProofPlace | null;
  /** Vertices that were compared, and poses of each. */
  readonly vertices: number;
  readonly poses: number;
}

export interface ProofPlace {
  readonly rig: string;
  /** Mesh part and vertex. */
  readonly part: string;
  readonly vertex: number;
  /** Clip and seconds, or null for the stored pose. */
  readonly clip: string | null;
  readonly time: number;
}

/**
 * Skins every vertex of both files in the stored pose and at all sampled times of all clips (each
 * key, and one point between each two), and tells the largest distance between the two. In clips a
 * bound stands for the vertices where it is far below all that counts: with the same weights, no vertex
 * is moved by more than the matrices of its joints move the corners of the box of what they move. Skinning is
 * that of glTF 2.0 (3.7.3 Skins). Throws Error where the two do not hold the same meshes, which no
 * mend may bring about.
 */
export function proveSame(before: RigModel, after: RigModel): Proof {
  let proof: Proof = { share: 0, where: null, vertices: 0, poses: 0 };
  before.rigs.forEach((rig, index) => {
    const other = after.rigs[index];
    if (other === undefined) throw new Error(`rig ${index} is gone`);
    const own = compareRigs(rig, other);
    proof = {
      ...(own.share > proof.share ? own : proof),
      vertices: proof.vertices + own.vertices,
      poses: proof.poses + own.poses,
    };
  });
  return proof;
}

function compareRigs(before: Rig, after: Rig): Proof {
  if (before.parts.length !== after.parts.length) throw new Error('meshes are gone');
  const size = sizeOf(before);
  const vertices = before.parts.reduce((sum, { vertexCount }) => sum + vertexCount, 0);
  let [farthest, poses] = [0, 0];
  let where: ProofPlace | null = null;
  const boxes = before.parts.map((part, at) => slotBoxes(part, after.parts[at]));
  const compare = (a: Posed, b: Posed, clip: string | null, time: number): void => {
    poses++;
    before.parts.forEach((part, at) => {
      const other = after.parts[at];
      if (other === undefined || other.vertexCount !== part.vertexCount)
        throw new Error(`the vertices of "${part.label}" are not those that were there`);
      const own = boxes[at] ?? null;
      if (clip !== null && own !== null) {
        const bound = mostShift(
          own,
          matricesOf(before, part.skin, a),
          matricesOf(after, other.skin, b),
        );
        // Surely all right: no vertex need be asked.
        if (bound <= SURE * size) {
          if (bound > farthest) [farthest, where] = [bound, null];
          return;
        }
      }
      const found = farthestVertex(
        part,
        matricesOf(before, part.skin, a),
        other,
        matricesOf(after, other.skin, b),
      );
      if (found.distance <= farthest) return;
      farthest = found.distance;
      where = { rig: before.name, part: part.label, vertex: found.vertex, clip, time };
    });
  };
  compare(restOf(before), restOf(after), null, 0);
  before.clips.forEach((clip) => {
    const same = after.clips.find(({ index }) => index === clip.index);
    if (same === undefined) throw new Error(`the clip "${clip.name}" is gone`);
    const [a, b] = [new ClipPose(before, clip), new ClipPose(after, same)];
    for (const time of timesOf(clip, same)) {
      a.seek(time);
      b.seek(time);
      compare(
        (node) => a.worldOf(node),
        (node) => b.worldOf(node),
        clip.name,
        time,
      );
    }
  });
  return { share: size > 0 ? farthest / size : farthest, where, vertices, poses };
}

/** A bound below this share of size needs no closer look; a tenth of what a mend may move. */
const SURE = 1e-6;

/** What each slot of a skin moves of one part: the box of its vertices, x, y, z of both ends. */
interface SlotBoxes {
  readonly boxes: readonly (readonly [min: Vec3, max: Vec3] | null)[];
  /** Largest sum of a vertex's weights. */
  readonly sum: number;
}

/** Null where weights, slots or places are not the same before and after. */
function slotBoxes(before: SkinnedPart, after: SkinnedPart | undefined): SlotBoxes | null {
  if (
    after === undefined ||
    before.influences !== after.influences ||
    !same(before.positions, after.positions) ||
    !same(before.slots, after.slots) ||
    !same(before.weights, after.weights)
  )
    return null;
  const ends: number[][] = [];
  let most = 0;
  for (let vertex = 0; vertex < before.vertexCount; vertex++) {
    let sum = 0;
    for (let k = before.influences * vertex; k < before.influences * (vertex + 1); k++) {
      const weight = Math.abs(before.weights[k] ?? 0);
      if (weight === 0) continue;
      sum += weight;
      const slot = before.slots[k] ?? 0;
      ends[slot] ??= [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
      const box = ends[slot] ?? [];
      for (let axis = 0; axis < 3; axis++) {
        const value = before.positions[3 * vertex + axis] ?? 0;
        if (value < (box[axis] ?? 0)) box[axis] = value;
        if (value > (box[axis + 3] ?? 0)) box[axis + 3] = value;
      }
    }
    most = Math.max(most, sum);
  }
  const boxes = Array.from(ends, (box) =>
    box === undefined ? null : ([vec3At(box, 0), vec3At(box, 1)] as const),
  );
  return { boxes, sum: most };
}

function same(a: ArrayLike<number>, b: ArrayLike<number>): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

function mostShift({ boxes, sum }: SlotBoxes, a: Float64Array, b: Float64Array): number {
  let most = 0;
  for (const [slot, box] of boxes.entries()) {
    if (box === null) continue;
    const shift = largestShift(mat4At(a, slot), mat4At(b, slot), box[0], box[1]);
    // Also false for NaN, which is no proof.
    if (!(shift <= most)) most = Number.isNaN(shift) ? Infinity : shift;
  }
  return sum * most;
}

/** World matrix of a node in some pose. */
type Posed = (node: number) => Mat4;

function restOf({ nodes }: Rig): Posed {
  return (node) => mat4At(nodes.world, node);
}

function timesOf(a: Clip, b: Clip): number[] {
  return [...new Set([...sampleTimes(a.channels), ...sampleTimes(b.channels)])];
}

/** W B of each slot of a skin. */
function matricesOf({ skins, joints }: Rig, skin: number, world: Posed): Float64Array {
  const { jointOfSlot = new Int32Array(), inverseBind = new Float64Array() } = skins[skin] ?? {};
  const out = new Float64Array(16 * jointOfSlot.length);
  jointOfSlot.forEach((joint, slot) => {
    multiply(world(joints.node[joint] ?? 0), mat4At(inverseBind, slot), mat4At(out, slot));
  });
  return out;
}

function farthestVertex(
  a: SkinnedPart,
  ofA: Float64Array,
  b: SkinnedPart,
  ofB: Float64Array,
): { distance: number; vertex: number } {
  const [p, q] = [new Float64Array(3), new Float64Array(3)];
  let [most, at] = [0, 0];
  for (let vertex = 0; vertex < a.vertexCount; vertex++) {
    place(a, ofA, vertex, p);
    place(b, ofB, vertex, q);
    const gap = Math.hypot(
      (p[0] ?? 0) - (q[0] ?? 0),
      (p[1] ?? 0) - (q[1] ?? 0),
      (p[2] ?? 0) - (q[2] ?? 0),
    );
    if (gap <= most) continue;
    // A vertex that was nowhere before is not moved by being nowhere still.
    if (p.some(Number.isNaN) && q.some(Number.isNaN)) continue;
    [most, at] = [Number.isNaN(gap) ? Infinity : gap, vertex];
  }
  return { distance: most, vertex: at };
}

/** The sum of w W B p over a vertex's influences. */
function place(part: SkinnedPart, matrices: Float64Array, vertex: number, out: Float64Array): void {
  const { positions, influences, slots, weights } = part;
  const [px = 0, py = 0, pz = 0] = positions.subarray(3 * vertex, 3 * vertex + 3);
  let [x, y, z] = [0, 0, 0];
  for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
    const weight = weights[k] ?? 0;
    if (weight === 0) continue;
    const m = 16 * (slots[k] ?? 0);
    x +=
      weight *
      ((matrices[m] ?? 0) * px +
        (matrices[m + 4] ?? 0) * py +
        (matrices[m + 8] ?? 0) * pz +
        (matrices[m + 12] ?? 0));
    y +=
      weight *
      ((matrices[m + 1] ?? 0) * px +
        (matrices[m + 5] ?? 0) * py +
        (matrices[m + 9] ?? 0) * pz +
        (matrices[m + 13] ?? 0));
    z +=
      weight *
      ((matrices[m + 2] ?? 0) * px +
        (matrices[m + 6] ?? 0) * py +
        (matrices[m + 10] ?? 0) * pz +
        (matrices[m + 14] ?? 0));
  }
  out[0] = x;
  out[1] = y;
  out[2] = z;
}

/** Diagonal of the box of all vertices as the rig is stored. */
function sizeOf(rig: Rig): number {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const p = new Float64Array(3);
  for (const part of rig.parts) {
    const matrices = matricesOf(rig, part.skin, restOf(rig));
    for (let vertex = 0; vertex < part.vertexCount; vertex++) {
      place(part, matrices, vertex, p);
      for (let axis = 0; axis < 3; axis++) {
        low[axis] = Math.min(low[axis] ?? 0, p[axis] ?? 0);
        high[axis] = Math.max(high[axis] ?? 0, p[axis] ?? 0);
      }
    }
  }
  const size = Math.hypot(...low.map((value, axis) => (high[axis] ?? 0) - value));
  return Number.isFinite(size) ? size : 0;
}
