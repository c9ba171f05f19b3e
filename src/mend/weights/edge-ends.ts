import { type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';
import { turn, type Vec3, vec3At } from '../../rig/vec3.js';
import type { StoredVertex } from './rig-weights.js';
import type { Influences } from './vertex-weights.js';

/* The ends of edges, laid out to be moved through pose after pose. */

/** The vertex that stands for a place, with the weights to try. */
export interface End {
  readonly stored: StoredVertex;
  readonly influences: Influences;
}

/** What a turn of one joint takes along of each end. */
export class TurnedShares {
  /** The shares of joints that stay, and of those that turn, by end. */
  readonly staying: Float64Array;
  readonly turning: Float64Array;
  /** Whether it turns now, or did with the joint before. */
  readonly isConcerned: Uint8Array;

  constructor(private readonly ends: readonly End[]) {
    this.staying = new Float64Array(ends.length);
    this.turning = new Float64Array(ends.length);
    this.isConcerned = new Uint8Array(ends.length);
  }

  /** @param branch 1 for each joint that turns. */
  part(branch: ArrayLike<number>): void {
    const { staying, turning, isConcerned } = this;
    for (const [at, { stored, influences }] of this.ends.entries()) {
      let [stays, turns, isIn] = [0, 0, 0];
      const full = stored.group.full ?? 1;
      for (const { slot, weight } of influences) {
        const isTurned = branch[stored.skin.jointOfSlot[slot] ?? -1] === 1;
        if (isTurned) turns += weight / full;
        else stays += weight / full;
        if (isTurned) isIn = 1;
      }
      // The first bit is of this joint, the second of the one before.
      isConcerned[at] = isIn | (((isConcerned[at] ?? 0) & 1) << 1);
      staying[at] = stays;
      turning[at] = turns;
    }
  }
}

/**
 * Moves the ends by the turn of a joint: p' = (sum - s) p + s T p, where s is the share that turns.
 *
 * @param centre The joint's place, as all places here in the bind pose, world space.
 * @param along The unit vector that it is turned about.
 * @param angle In radians.
 * @param at Where the ends are: x, y, z each.
 * @param out Where they come to be: x, y, z each.
 */
export function placeTurned(
  { staying, turning }: TurnedShares,
  centre: Vec3,
  along: Vec3,
  angle: number,
  at: Float64Array,
  out: Float64Array,
): void {
  const [cx, cy, cz] = centre;
  const [ax, ay, az] = turn([1, 0, 0], along, angle);
  const [bx, by, bz] = turn([0, 1, 0], along, angle);
  const [dx, dy, dz] = turn([0, 0, 1], along, angle);
  for (let end = 0; end < staying.length; end++) {
    const [stays, turns] = [staying[end] ?? 0, turning[end] ?? 0];
    const [px, py, pz] = [at[3 * end] ?? 0, at[3 * end + 1] ?? 0, at[3 * end + 2] ?? 0];
    const [x, y, z] = [px - cx, py - cy, pz - cz];
    out[3 * end] = stays * px + turns * (cx + ax * x + bx * y + dx * z);
    out[3 * end + 1] = stays * py + turns * (cy + ay * x + by * y + dy * z);
    out[3 * end + 2] = stays * pz + turns * (cz + az * x + bz * y + dz * z);
  }
}

/** The ends, laid out to be skinned in pose after pose: the sum of w W B p (glTF 2.0, 3.7.3 Skins). */
export class SkinnedEnds {
  /** The joints that move them, each with its inverse bind matrix in one skin. */
  private readonly movers: { readonly joint: number; readonly inverseBind: Mat4 }[] = [];
  /** Where the influences of each end begin, and of each its mover and its share. */
  private readonly first: Int32Array;
  private readonly mover: Int32Array;
  private readonly share: Float64Array;
  /** As stored: x, y, z each. */
  private readonly points: Float64Array;

  constructor(ends: readonly End[]) {
    const numbers = new Map<RigSkin, Map<number, number>>();
    const [first, mover, share]: [number[], number[], number[]] = [[0], [], []];
    for (const { stored, influences } of ends) {
      const { skin, group } = stored;
      const bySlot = numbers.get(skin) ?? new Map<number, number>();
      numbers.set(skin, bySlot);
      for (const { slot, weight } of influences) {
        const joint = skin.jointOfSlot[slot] ?? -1;
        // An index past the list moves nothing that can be shown.
        if (joint === -1) continue;
        const number =
          bySlot.get(slot) ??
          this.movers.push({ joint, inverseBind: mat4At(skin.inverseBind, slot) }) - 1;
        bySlot.set(slot, number);
        mover.push(number);
        share.push(weight / (group.full ?? 1));
      }
      first.push(mover.length);
    }
    [this.first, this.mover] = [Int32Array.from(first), Int32Array.from(mover)];
    this.share = Float64Array.from(share);
    this.points = Float64Array.from(
      ends.flatMap(({ stored: { part, vertex } }) => [...vec3At(part.positions, vertex)]),
    );
  }

  /** @param out Where each end is, x, y, z, world space. */
  place(worldOf: (joint: number) => Mat4, out: Float64Array): void {
    const { movers, first, mover, share, points } = this;
    const matrices = movers.map(({ joint, inverseBind }) => multiply(worldOf(joint), inverseBind));
    for (let end = 0; end + 1 < first.length; end++) {
      const [px, py, pz] = [
        points[3 * end] ?? 0,
        points[3 * end + 1] ?? 0,
        points[3 * end + 2] ?? 0,
      ];
      let [x, y, z] = [0, 0, 0];
      for (let k = first[end] ?? 0; k < (first[end + 1] ?? 0); k++) {
        const m = matrices[mover[k] ?? 0] ?? NOWHERE;
        const w = share[k] ?? 0;
        x += w * ((m[0] ?? 0) * px + (m[4] ?? 0) * py + (m[8] ?? 0) * pz + (m[12] ?? 0));
        y += w * ((m[1] ?? 0) * px + (m[5] ?? 0) * py + (m[9] ?? 0) * pz + (m[13] ?? 0));
        z += w * ((m[2] ?? 0) * px + (m[6] ?? 0) * py + (m[10] ?? 0) * pz + (m[14] ?? 0));
      }
      out[3 * end] = x;
      out[3 * end + 1] = y;
      out[3 * end + 2] = z;
    }
  }
}

const NOWHERE: Mat4 = new Float64Array(16);
