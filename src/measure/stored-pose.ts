import { largestShift, type Mat4, mat4At, transformPoint } from '../rig/mat4.js';
import type { Clip } from '../rig/types.js';
import { type Vec3, vec3At } from '../rig/vec3.js';
import { builtMatrices } from './bind-pose.js';
import { ClipPose, sampleTimes } from './clip-sampling.js';
import type { Facts } from './facts.js';
import type { PosedJoint } from './posed-joints.js';
import { skinMass } from './skin-mass.js';

/** A clip and a time at which it shows the stored pose. */
export interface ClipMoment {
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
  /** Largest distance of a vertex between the two. World units. */
  readonly off: number;
}

/** A clip that keys fewer of the joints that are posed is no evidence: what it leaves alone always fits. Share. */
const LEAST_KEYED = 1 / 3;
/** So much of what is tolerated counts as nothing. Share. */
const EXACT = 0.05;
/** Samples of a clip around which the time is refined. */
const REFINED = 3;
/** Steps of the refining: each leaves 0.62 of the span, so that these find 1/1000 of it. */
const STEPS = 16;

/**
 * The moment of a clip that poses the skin most nearly as it is stored, within `tolerance` (world units):
 * for each weighted joint the stored and the sampled matrix take the box of its vertices to the same
 * place. Times between keys are searched around the nearest samples. Null when none is near. Needs all
 * channels of the clips (`rig.clipsComplete`).
 */
export function findStoredPose(
  facts: Facts,
  posed: readonly PosedJoint[],
  tolerance: number,
): ClipMoment | null {
  const watched = watchedJoints(facts);
  let best: ClipMoment | null = null;
  for (const clip of facts.rig.clips) {
    const keyed = posed.filter(({ node, paths }) =>
      paths.some((path) => clip.keyed.get(node)?.has(path) === true),
    );
    if (keyed.length === 0 || keyed.length < LEAST_KEYED * posed.length) continue;
    const found = nearestMoment(facts, clip, watched, EXACT * tolerance);
    // Of clips that show it alike the first is told.
    if (
      found !== null &&
      found.off <= tolerance &&
      found.off < (best?.off ?? Infinity) - EXACT * tolerance
    )
      best = { clip: clip.name, ...found };
  }
  return best;
}

interface Moment {
  readonly time: number;
  readonly off: number;
}

function nearestMoment(facts: Facts, clip: Clip, watched: Watched[], exact: number): Moment | null {
  const pose = new ClipPose(facts.rig, clip);
  const times = sampleTimes(clip.channels);
  const at = (time: number, enough: number): number => {
    pose.seek(time);
    return farthest(pose, watched, enough);
  };
  // The nearest samples; what is farther than all of them is not worked out to the end.
  const near: { readonly index: number; readonly off: number }[] = [];
  times.forEach((time, index) => {
    const off = at(time, near[REFINED - 1]?.off ?? Infinity);
    near.push({ index, off });
    near.sort((a, b) => a.off - b.off);
    if (near.length > REFINED) near.pop();
  });
  let best: Moment | null = null;
  for (const { index, off } of near) {
    const time = times[index] ?? 0;
    if (best === null || off < best.off) best = { time, off };
    // A sample that is as good as the pose itself needs no search.
    if (best.off <= exact) break;
    for (const side of [times[index - 1], times[index + 1]]) {
      const found = side === undefined ? null : refine(time, side, (t) => at(t, Infinity));
      if (found !== null && found.off < best.off) best = found;
    }
  }
  return best;
}

/** Golden section search (Kiefer 1953) for the nearest moment between two times. */
function refine(from: number, to: number, off: (time: number) => number): Moment {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [Math.min(from, to), Math.max(from, to)];
  let [left, right] = [high - ratio * (high - low), low + ratio * (high - low)];
  let [atLeft, atRight] = [off(left), off(right)];
  for (let step = 0; step < STEPS; step++) {
    if (atLeft < atRight) {
      [high, right, atRight] = [right, left, atLeft];
      left = high - ratio * (high - low);
      atLeft = off(left);
    } else {
      [low, left, atLeft] = [left, right, atRight];
      right = low + ratio * (high - low);
      atRight = off(right);
    }
  }
  return atLeft < atRight ? { time: left, off: atLeft } : { time: right, off: atRight };
}

/** A weighted joint, with a box around its vertices in its own frame. */
interface Watched {
  readonly node: number;
  readonly stored: Mat4;
  readonly min: Vec3;
  readonly max: Vec3;
}

/**
 * How far a pose takes any box from where it is stored. Gives up beyond `enough`; the joint that did it
 * comes first the next time, since the next pose is mostly far off there too.
 */
function farthest(pose: ClipPose, watched: Watched[], enough: number): number {
  let worst = 0;
  for (let at = 0; at < watched.length; at++) {
    const item = watched[at];
    if (item === undefined) continue;
    worst = Math.max(worst, largestShift(pose.worldOf(item.node), item.stored, item.min, item.max));
    if (worst > enough) {
      watched.splice(at, 1);
      watched.unshift(item);
      return worst;
    }
  }
  return worst;
}

function watchedJoints(facts: Facts): Watched[] {
  const { rig } = facts;
  const { boxBySlot } = skinMass(facts);
  const watched: Watched[] = [];
  const watch = (node: number, box: { readonly min: Vec3; readonly max: Vec3 }): void => {
    watched.push({ node, stored: mat4At(rig.nodes.world, node), ...box });
  };
  rig.parts.forEach((part, index) => {
    const skin = rig.skins[part.skin];
    skin?.jointOfSlot.forEach((joint, slot) => {
      const box = boxBySlot[index]?.subarray(6 * slot, 6 * slot + 6);
      const isEmpty = box === undefined || !((box[0] ?? 0) <= (box[3] ?? -1));
      if (isEmpty || builtMatrices(facts)[part.skin]?.[slot] == null) return;
      const inverseBind = mat4At(skin.inverseBind, slot);
      watch(rig.joints.node[joint] ?? 0, boxIn(inverseBind, vec3At(box, 0), vec3At(box, 1)));
    });
  });
  const point: Vec3 = [0, 0, 0];
  if (watched.length === 0)
    for (const node of rig.joints.node) watch(node, { min: point, max: point });
  return watched;
}

/** The box around a box's corners after `matrix`. */
function boxIn(matrix: Mat4, min: Vec3, max: Vec3): { min: Vec3; max: Vec3 } {
  const corners = Array.from({ length: 8 }, (_, corner) =>
    transformPoint(matrix, [
      corner & 1 ? max[0] : min[0],
      corner & 2 ? max[1] : min[1],
      corner & 4 ? max[2] : min[2],
    ]),
  );
  const pick = (axis: 0 | 1 | 2, choose: (...values: number[]) => number): number =>
    choose(...corners.map((c) => c[axis]));
  return {
    min: [pick(0, Math.min), pick(1, Math.min), pick(2, Math.min)],
    max: [pick(0, Math.max), pick(1, Math.max), pick(2, Math.max)],
  };
}
