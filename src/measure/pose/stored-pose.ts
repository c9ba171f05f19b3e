import { type Box, boxAround, boxAt, cornersOf } from '../../rig/box.js';
import { largestShift, type Mat4, mat4At, transformPoint } from '../../rig/mat4.js';
import type { Clip, Rig } from '../../rig/types.js';
import type { Facts } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { builtMatrices } from './bind-pose.js';
import { ClipPose, sampleTimes } from './clip-sampling.js';
import type { PosedJoint } from './posed-joints.js';

/** A clip and a time at which it shows the stored pose. */
export interface ClipMoment {
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
  /** Largest distance of a vertex between the two. World units. */
  readonly off: number;
}

/** A clip that keys fewer of the posed joints is no evidence: what it leaves alone fits. Share. */
const LEAST_KEYED = 1 / 3;
/** So much of the tolerance counts as nothing. Share. */
const EXACT = 0.05;
/** A clip with more samples has keys enough to do without those between. */
const CLOSE = 20;
/** Samples of a clip around which the time is refined. */
const REFINED = 3;
/** Between two samples a point goes no farther than so many times their distance: a half turn. */
const ARC = Math.PI / 2;
/** Steps of the refining: each leaves 0.62 of the span, so that these get down to 1/1000 of it. */
const STEPS = 16;

/**
 * The moment of a clip that poses the skin most nearly as it is stored, within `tolerance` (world
 * units): for each weighted joint the stored and the sampled matrix take the box of its vertices to
 * the same place. Times between keys are searched around the nearest samples. Null when none is
 * near.
 */
export function findStoredPose(
  facts: Facts,
  posed: readonly PosedJoint[],
  tolerance: number,
): ClipMoment | null {
  const watched = watchedJoints(facts);
  let best: ClipMoment | null = null;
  for (const clip of facts.rig.clips) {
    if (best !== null && best.off <= EXACT * tolerance) break;
    const keyed = posed.filter(({ node, paths }) =>
      paths.some((path) => clip.keyed.get(node)?.has(path)),
    );
    if (keyed.length === 0 || keyed.length < LEAST_KEYED * posed.length) continue;
    const found = nearestMoment(facts.rig, clip, watched, tolerance);
    // Of clips that show it alike the first counts.
    const least = (best?.off ?? Infinity) - EXACT * tolerance;
    if (found !== null && found.off <= tolerance && found.off < least)
      best = { clip: clip.name, ...found };
  }
  return best;
}

type Moment = Omit<ClipMoment, 'clip'>;

/** The nearest moment of a clip; what cannot come within `enough` is not refined. */
function nearestMoment(rig: Rig, clip: Clip, watched: Watched[], enough: number): Moment | null {
  const pose = new ClipPose(rig, clip);
  const samples = sampleTimes(clip.channels);
  // Between close keys nothing happens that refining would not find.
  const times = samples.length > CLOSE ? samples.filter((_, index) => index % 2 === 0) : samples;
  const offAt = (time: number, most = Infinity): number => {
    pose.seek(time);
    return farthest(pose, watched, most);
  };
  // The nearest samples; what is farther than all of them is not worked out to the end.
  const near: { readonly index: number; readonly off: number }[] = [];
  for (const [index, time] of times.entries()) {
    const off = offAt(time, near[REFINED - 1]?.off);
    // A sample that is as good as the pose itself needs no search.
    if (off <= EXACT * enough) return { time, off };
    near.push({ index, off });
    near.sort((a, b) => a.off - b.off);
    if (near.length > REFINED) near.pop();
  }
  let best: Moment | null = null;
  for (const { index, off } of near) {
    const time = times[index] ?? 0;
    if (best === null || off < best.off) best = { time, off };
    for (const side of [times[index - 1], times[index + 1]]) {
      if (side === undefined || off - ARC * between(pose, watched, time, side) > enough) continue;
      const found = refine(time, side, offAt);
      if (found.off < best.off) best = found;
    }
  }
  return best;
}

/** How far a clip takes any box from one time to another. */
function between(pose: ClipPose, watched: readonly Watched[], from: number, to: number): number {
  pose.seek(from);
  const before = watched.map(({ node }) => Float64Array.from(pose.worldOf(node)));
  pose.seek(to);
  return watched.reduce((most, { node, min, max }, index) => {
    const matrix = before[index] ?? pose.worldOf(node);
    return Math.max(most, largestShift(pose.worldOf(node), matrix, min, max));
  }, 0);
}

/** Golden section search (Kiefer 1953) for the nearest moment between two times. */
function refine(from: number, to: number, offAt: (time: number) => number): Moment {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [Math.min(from, to), Math.max(from, to)];
  let [left, right] = [high - ratio * (high - low), low + ratio * (high - low)];
  let [offLeft, offRight] = [offAt(left), offAt(right)];
  for (let step = 0; step < STEPS; step++) {
    if (offLeft < offRight) {
      [high, right, offRight] = [right, left, offLeft];
      left = high - ratio * (high - low);
      offLeft = offAt(left);
    } else {
      [low, left, offLeft] = [left, right, offRight];
      right = low + ratio * (high - low);
      offRight = offAt(right);
    }
  }
  return offLeft < offRight ? { time: left, off: offLeft } : { time: right, off: offRight };
}

/**
 * How far a pose takes any box from where it is stored. Gives up beyond `enough`; the joint that
 * did it comes first the next time, since the next pose is mostly far off there too.
 */
function farthest(pose: ClipPose, watched: Watched[], enough: number): number {
  let worst = 0;
  for (const [index, joint] of watched.entries()) {
    const { node, stored, min, max } = joint;
    worst = Math.max(worst, largestShift(pose.worldOf(node), stored, min, max));
    if (worst > enough) {
      watched.splice(index, 1);
      watched.unshift(joint);
      return worst;
    }
  }
  return worst;
}

/** A weighted joint, with a box around its vertices in its own frame. */
interface Watched extends Box {
  readonly node: number;
  readonly stored: Mat4;
}

/** Each weighted joint once: the primitives of one mesh share their joints. */
function watchedJoints(facts: Facts): Watched[] {
  const { rig } = facts;
  const { boxBySlot } = skinMass(facts);
  const boxes = new Map<number, Box>();
  rig.parts.forEach((part, index) => {
    const skin = rig.skins[part.skin];
    skin?.jointOfSlot.forEach((joint, slot) => {
      const box = boxAt(boxBySlot[index], slot);
      if (box === null || builtMatrices(facts)[part.skin]?.[slot] == null) return;
      const node = rig.joints.node[joint] ?? 0;
      const toJoint = mat4At(skin.inverseBind, slot);
      const corners = cornersOf(box).map((corner) => transformPoint(toJoint, corner));
      const { min, max } = boxes.get(node) ?? boxAround(corners);
      boxes.set(node, boxAround([...corners, min, max]));
    });
  });
  const point = boxAround([[0, 0, 0]]);
  if (boxes.size === 0) for (const node of rig.joints.node) boxes.set(node, point);
  return [...boxes].map(([node, box]) => ({ node, stored: mat4At(rig.nodes.world, node), ...box }));
}
