import { BEND_DEGREES, bendAxes } from '../../measure/bend/bend-lab.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { branchOf } from '../../rig/tree.js';
import { radians, vec3At } from '../../rig/vec3.js';
import { type End, placeTurned, SkinnedEnds, TurnedShares } from './edge-ends.js';
import type { EdgeStrengths } from './edge-strengths.js';
import type { RigWeights } from './rig-weights.js';

/** How far a vertex leaves a neighbour at most: by how much the edge between them grows. */
export interface Growth {
  /** Share of the rig's size; Infinity where a vertex has no place. */
  readonly share: number;
  /** The pose it is in, in words: `in the clip ...`, `with ... turned`. */
  readonly pose: string;
}

/** Of more edges every second, third or further one is looked at: the figure is for people. */
const MOST_EDGES = 5000;
/** No growth is looked for in more poses of edges: long clips are then looked at in even steps. */
const MOST_LOOKS = 5e5;

/**
 * The pose in which the edges at some places grow most: among those of the bend laboratory (each joint that
 * has to do with it turned by `BEND_DEGREES` both ways about two axes) and of all clips. Null without edges.
 *
 * @param endOf The vertex that stands for each place, with the weights to try; null for none.
 */
export function largestGrowth(
  { facts, net }: RigWeights,
  edges: EdgeStrengths,
  endOf: (place: number) => End | null,
): Growth | null {
  const ends: End[] = [];
  const at: number[] = [];
  const known = new Map<number, number>();
  /** The number of a place's end; -1 where it has none. */
  const numberOf = (place: number): number => {
    const found = known.get(place);
    if (found !== undefined) return found;
    const end = endOf(place);
    const number = end === null ? -1 : ends.push(end) - 1;
    if (end !== null) at.push(...vec3At(net.positions, place));
    known.set(place, number);
    return number;
  };
  const all = [...edges].flatMap(([from, others]) =>
    [...others.keys()].flatMap((to) => (edges.has(to) && to < from ? [] : [[from, to] as const])),
  );
  const every = Math.ceil(all.length / MOST_EDGES);
  const pairs: number[] = [];
  for (let k = 0; k < all.length; k += every) {
    const [a = -1, b = -1] = (all[k] ?? []).map(numberOf);
    if (a !== -1 && b !== -1) pairs.push(a, b);
  }
  if (pairs.length === 0) return null;
  const looked = new Look(Int32Array.from(pairs), Float64Array.from(at), size(facts));
  lookAtBends(facts, ends, looked);
  lookAtClips(facts, ends, looked);
  return looked.best;
}

/** The edges, and the pose in which they have grown most so far. */
class Look {
  best: Growth = { share: 0, pose: 'in no pose' };
  /** Where the ends are in the pose that is looked at: x, y, z each, world space. */
  readonly moved: Float64Array;
  private readonly lengths: Float64Array;

  /**
   * @param pairs Numbers of the two ends of each edge.
   * @param at Where the ends are in the bind pose: x, y, z each, world space.
   */
  constructor(
    readonly pairs: Int32Array,
    readonly at: Float64Array,
    private readonly size: number,
  ) {
    this.moved = new Float64Array(at.length);
    this.lengths = Float64Array.from({ length: pairs.length / 2 }, (_, edge) =>
      lengthOf(pairs, edge, at),
    );
  }

  /**
   * Takes in where the ends are `moved` to.
   *
   * @param isMoved Which ends are not where they were before, by their numbers; all where absent.
   */
  take(pose: () => string, isMoved: Uint8Array | null = null): void {
    const { pairs, moved, lengths, size } = this;
    for (let edge = 0; edge < lengths.length; edge++) {
      const isSame =
        isMoved?.[pairs[2 * edge] ?? 0] === 0 && isMoved[pairs[2 * edge + 1] ?? 0] === 0;
      if (isSame) continue;
      const growth = lengthOf(pairs, edge, moved) - (lengths[edge] ?? 0);
      const share = Number.isFinite(growth) ? growth / size : Infinity;
      if (share > this.best.share) this.best = { share, pose: pose() };
    }
  }
}

function lengthOf(pairs: Int32Array, edge: number, at: Float64Array): number {
  const [a, b] = [3 * (pairs[2 * edge] ?? 0), 3 * (pairs[2 * edge + 1] ?? 0)];
  const x = (at[a] ?? 0) - (at[b] ?? 0);
  const y = (at[a + 1] ?? 0) - (at[b + 1] ?? 0);
  const z = (at[a + 2] ?? 0) - (at[b + 2] ?? 0);
  const square = x * x + y * y + z * z;
  // Slower by far, and only needed where a square is beyond numbers.
  return square < Infinity ? Math.sqrt(square) : Math.hypot(x, y, z);
}

/** Turns all joints that move some of the ends, and those above them. */
function lookAtBends(facts: Facts, ends: readonly End[], looked: Look): void {
  const { joints } = facts.rig;
  const { at, moved } = looked;
  const concerned = new Set<number>();
  for (const { stored, influences } of ends)
    for (const { slot } of influences)
      for (
        let joint = stored.skin.jointOfSlot[slot] ?? -1;
        joint !== -1 && !concerned.has(joint);
        joint = joints.parent[joint] ?? -1
      )
        concerned.add(joint);
  const angle = radians(BEND_DEGREES);
  const shares = new TurnedShares(ends);
  let isMoved: Uint8Array | null = null;
  for (const joint of [...concerned].sort((a, b) => a - b)) {
    shares.part(branchOf(joints, joint));
    const centre = bindPose(facts).places[joint] ?? [0, 0, 0];
    for (const { along } of bendAxes(facts, joint))
      for (const sign of [1, -1]) {
        placeTurned(shares, centre, along, sign * angle, at, moved);
        looked.take(() => `with "${joints.names[joint]}" turned by ${BEND_DEGREES}°`, isMoved);
      }
    // What neither the next joint nor this one turns is where it was looked at.
    isMoved = shares.isConcerned;
  }
}

/** Poses the ends by all clips. */
function lookAtClips({ rig }: Facts, ends: readonly End[], looked: Look): void {
  const clips = rig.clips.map((clip) => ({ clip, times: sampleTimes(clip.channels) }));
  const poses = clips.reduce((sum, { times }) => sum + times.length, 0);
  if (poses === 0) return;
  const step = Math.max(1, Math.ceil((poses * looked.pairs.length) / 2 / MOST_LOOKS));
  const skinned = new SkinnedEnds(ends);
  for (const { clip, times } of clips) {
    const pose = new ClipPose(rig, clip);
    for (let at = 0; at < times.length; at += step) {
      const time = times[at] ?? 0;
      pose.seek(time);
      skinned.place((joint) => pose.worldOf(rig.joints.node[joint] ?? 0), looked.moved);
      looked.take(() => `in the clip "${clip.name}" at ${Number(time.toPrecision(3))} s`);
    }
  }
}
