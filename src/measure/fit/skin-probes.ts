import { mat4At, transformPoint } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import type { PlayPose } from './play-pose.js';

/** Vertices that are skinned while clips play, one side of the comparison. Flat lists. */
export interface SkinProbes {
  readonly count: number;
  /** Where the influences of each vertex begin, and where those of the last end. */
  readonly first: Int32Array;
  /** Of each influence: the node that moves it, its weight, and the vertex in the frame of that node at bind. */
  readonly node: Int32Array;
  readonly weight: Float64Array;
  readonly point: Float64Array;
}

/** What each vertex is in the frames of the joints that move it: B_j p, so that only W_j is left to do. */
export function probesOf(rig: Rig, list: readonly { part: number; vertex: number }[]): SkinProbes {
  const first = [0];
  const [node, weight, point]: [number[], number[], number[]] = [[], [], []];
  for (const { part: index, vertex } of list) {
    const part = rig.parts[index];
    const skin = rig.skins[part?.skin ?? -1];
    for (let k = 0; part && skin && k < part.influences; k++) {
      const at = part.influences * vertex + k;
      const [slot, share] = [part.slots[at] ?? 0, part.weights[at] ?? 0];
      const joint = skin.jointOfSlot[slot] ?? -1;
      if (!(share > 0) || joint === -1) continue;
      node.push(rig.joints.node[joint] ?? 0);
      weight.push(share);
      point.push(...transformPoint(mat4At(skin.inverseBind, slot), vec3At(part.positions, vertex)));
    }
    first.push(node.length);
  }
  return {
    count: list.length,
    first: Int32Array.from(first),
    node: Int32Array.from(node),
    weight: Float64Array.from(weight),
    point: Float64Array.from(point),
  };
}

/**
 * Skins the vertices by world matrices of nodes, x, y, z each, written to `out`. Weights that do not sum
 * to 1 are another rule's: they count as if they did.
 */
export function skinProbes(
  { count, first, node, weight, point }: SkinProbes,
  { world, offsetOf }: Pick<PlayPose, 'world' | 'offsetOf'>,
  out: Float64Array,
): void {
  for (let at = 0; at < count; at++) {
    let [x, y, z, total] = [0, 0, 0, 0];
    for (let k = first[at] ?? 0; k < (first[at + 1] ?? 0); k++) {
      const m = offsetOf[node[k] ?? 0] ?? 0;
      const w = weight[k] ?? 0;
      const px = point[3 * k] ?? 0;
      const py = point[3 * k + 1] ?? 0;
      const pz = point[3 * k + 2] ?? 0;
      x +=
        w *
        ((world[m] ?? 0) * px +
          (world[m + 4] ?? 0) * py +
          (world[m + 8] ?? 0) * pz +
          (world[m + 12] ?? 0));
      y +=
        w *
        ((world[m + 1] ?? 0) * px +
          (world[m + 5] ?? 0) * py +
          (world[m + 9] ?? 0) * pz +
          (world[m + 13] ?? 0));
      z +=
        w *
        ((world[m + 2] ?? 0) * px +
          (world[m + 6] ?? 0) * py +
          (world[m + 10] ?? 0) * pz +
          (world[m + 14] ?? 0));
      total += w;
    }
    const share = total > 0 ? 1 / total : 1;
    out[3 * at] = share * x;
    out[3 * at + 1] = share * y;
    out[3 * at + 2] = share * z;
  }
}
