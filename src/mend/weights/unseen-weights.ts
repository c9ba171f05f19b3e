import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { type Mat4, mat4At, multiply, transformDirection } from '../../rig/mat4.js';
import type { SkinnedPart } from '../../rig/types.js';
import { add, angleBetween, scale, type Vec3, vec3At } from '../../rig/vec3.js';
import { LARGEST_SHIFT, LARGEST_TURN } from '../proof/proof-limits.js';
import type { Influences } from './vertex-weights.js';
import type { PartOfRig } from './weight-groups.js';

/**
 * How far a vertex may move: half of what the proof of a whole mend allows, so that the rounding of
 * other repairs has room. Share of the rig's size.
 */
export const UNSEEN = LARGEST_SHIFT / 2;

/** The same of how far its normal may turn. Degrees. */
export const UNTURNED = LARGEST_TURN / 2;

/** A vertex, and other weights that it may be given. */
export interface Trial {
  readonly vertex: number;
  readonly options: readonly Option[];
}

export interface Option {
  readonly influences: Influences;
  /** How much each slot's weight, as a share of 1, changes. */
  readonly change: readonly { readonly slot: number; readonly by: number }[];
  /** How far the vertex was seen to move, share of the rig's size; no longer looked at once past `UNSEEN`. */
  moved: number;
  /** How far its normal was seen to turn, likewise. Degrees; 0 where it has none. */
  turned: number;
}

/** Whether nobody could see what it changes. */
export function isUnseen({ moved, turned }: Option): boolean {
  return moved <= UNSEEN && turned <= UNTURNED;
}

export function option(present: Influences, influences: Influences, full: number): Option {
  const bySlot = new Map<number, number>();
  for (const { slot, weight } of influences) bySlot.set(slot, (bySlot.get(slot) ?? 0) + weight);
  for (const { slot, weight } of present) bySlot.set(slot, (bySlot.get(slot) ?? 0) - weight);
  const change = [...bySlot].flatMap(([slot, by]) => (by === 0 ? [] : [{ slot, by: by / full }]));
  return { influences, change, moved: 0, turned: 0 };
}

/**
 * Tries weights in the stored pose and in all sampled times of all clips. A vertex is at the sum of
 * w W B p (glTF 2.0, 3.7.3 Skins), so that it moves by the sum of the changes of w times W B p. Its normal
 * turns with the sum of w W B n, as in the proof.
 *
 * @param normals x, y, z a vertex; null where the part has none.
 * @param size Of the rig, in world units.
 */
export function tryWeights(
  { rig, part }: PartOfRig,
  trials: readonly Trial[],
  normals: Float32Array | null,
  size: number,
): void {
  const open = trials.flatMap(({ vertex, options }) => options.map((tried) => ({ vertex, tried })));
  const { jointOfSlot = new Int32Array(), inverseBind = new Float64Array() } =
    rig.skins[part.skin] ?? {};
  const matrices = new Float64Array(16 * jointOfSlot.length);
  const tryPose = (worldOf: (node: number) => Mat4): void => {
    jointOfSlot.forEach((joint, slot) => {
      const world = worldOf(rig.joints.node[joint] ?? 0);
      multiply(world, mat4At(inverseBind, slot), mat4At(matrices, slot));
    });
    for (const { vertex, tried } of open) {
      if (!isUnseen(tried)) continue;
      const distance = moveOf(part, matrices, vertex, tried);
      // A place that is not a number cannot be compared.
      const share = Number.isNaN(distance) ? Infinity : size > 0 ? distance / size : distance;
      if (share > tried.moved) tried.moved = share;
      if (normals !== null)
        tried.turned = Math.max(tried.turned, turnOf(part, normals, matrices, vertex, tried));
    }
  };
  tryPose((node) => mat4At(rig.nodes.world, node));
  if (!open.some(({ tried }) => isUnseen(tried))) return;
  for (const clip of rig.clips) {
    const pose = new ClipPose(rig, clip);
    for (const time of sampleTimes(clip.channels)) {
      pose.seek(time);
      tryPose((node) => pose.worldOf(node));
    }
  }
}

function moveOf(
  { positions }: SkinnedPart,
  matrices: Float64Array,
  vertex: number,
  { change }: Option,
): number {
  const at = 3 * vertex;
  const [px, py, pz] = [positions[at] ?? 0, positions[at + 1] ?? 0, positions[at + 2] ?? 0];
  let [x, y, z] = [0, 0, 0];
  for (const { slot, by } of change) {
    const m = 16 * slot;
    // Written out, since this is all that a long clip has to wait for.
    x +=
      by *
      ((matrices[m] ?? 0) * px +
        (matrices[m + 4] ?? 0) * py +
        (matrices[m + 8] ?? 0) * pz +
        (matrices[m + 12] ?? 0));
    y +=
      by *
      ((matrices[m + 1] ?? 0) * px +
        (matrices[m + 5] ?? 0) * py +
        (matrices[m + 9] ?? 0) * pz +
        (matrices[m + 13] ?? 0));
    z +=
      by *
      ((matrices[m + 2] ?? 0) * px +
        (matrices[m + 6] ?? 0) * py +
        (matrices[m + 10] ?? 0) * pz +
        (matrices[m + 14] ?? 0));
  }
  return Math.hypot(x, y, z);
}

/** Degrees between the skinned normal with the weights as they are and with those that are tried. */
function turnOf(
  { influences, slots, weights }: SkinnedPart,
  normals: Float32Array,
  matrices: Float64Array,
  vertex: number,
  { change }: Option,
): number {
  const normal = vec3At(normals, vertex);
  let now: Vec3 = [0, 0, 0];
  for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
    const turned = transformDirection(mat4At(matrices, slots[k] ?? 0), normal);
    now = add(now, scale(turned, weights[k] ?? 0));
  }
  let then = now;
  for (const { slot, by } of change)
    then = add(then, scale(transformDirection(mat4At(matrices, slot), normal), by));
  return angleBetween(now, then);
}
