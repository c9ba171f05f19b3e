import { aboutAxis, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import {
  add,
  angleBetween,
  cross,
  direction,
  distance,
  radians,
  subtract,
  type Vec3,
} from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { aimAndUp } from './chains.js';
import { type SegmentRoll, segmentRolls } from './roll.js';

/** How far a curl of one segment strays from the curl its carried frames would give. */
export interface Curl {
  readonly joints: readonly number[];
  /** Largest distance / segment length, 0 to 2. */
  readonly drift: number;
  /** The axis that all joints were turned about. */
  readonly about: 'up' | 'side';
  /** Joints whose axis is off the carried one by more than rounding. */
  readonly straying: readonly number[];
  /** Joint that strays farthest. */
  readonly worst: number;
  /** Where each joint ends, and where it should; world space. */
  readonly curled: readonly Vec3[];
  readonly ideal: readonly Vec3[];
}

/** An axis off the carried one by less is as good as on it. Degrees. */
const STRAYING_DEGREES = 1;
/** A curl turns the segment by this much in all. Degrees. */
export const CURL_DEGREES = 90;

/**
 * Turns every joint of a segment after its first by 90 degrees / (n - 1) about its up axis, then
 * about its side axis, and compares its place with that in the same segment with carried frames at
 * the reference roll. On a straight segment the drift is how far the curl leaves its plane.
 */
export const curls = fact((facts): readonly Curl[] => {
  return segmentRolls(facts)
    .filter((segment) => segment.joints.length >= 3)
    .map((segment) => {
      const up = curlAbout(facts, segment, 'up');
      const side = curlAbout(facts, segment, 'side');
      return side.drift > up.drift ? side : up;
    });
});

/**
 * The axes that joints are turned about in a curl: unit vectors, world space. `ideal` are carried
 * at the reference roll, `own` each joint's, or the carried one where its frame says nothing.
 */
export function curlAxes(
  facts: Facts,
  { joints, aims, carriedUps, rolls }: SegmentRoll,
  about: Curl['about'],
): { own: readonly Vec3[]; ideal: readonly Vec3[] } {
  const ideal = carriedUps.map(
    (up, place): Vec3 => (about === 'up' ? up : cross(aims[place] ?? up, up)),
  );
  const own = joints.map((joint, place): Vec3 => {
    const carried = ideal[place] ?? [0, 1, 0];
    const axes = aimAndUp(facts, joint);
    if (axes === null || rolls[place] === null) return carried;
    // The side axis as the frame has it: a frame that misses its bone turns about another.
    return about === 'up' ? axes.up : (direction(cross(axes.aim, axes.up)) ?? carried);
  });
  return { own, ideal };
}

function curlAbout(facts: Facts, segment: SegmentRoll, about: Curl['about']): Curl {
  const { places } = bonePose(facts);
  const { joints } = segment;
  const points = joints.map((joint): Vec3 => places[joint] ?? [0, 0, 0]);
  const axes = curlAxes(facts, segment, about);
  const step = radians(CURL_DEGREES) / (joints.length - 1);
  const curled = curlPoints(points, axes.own, step);
  const ideal = curlPoints(points, axes.ideal, step);
  let [drift, worst] = [0, joints[0] ?? 0];
  joints.forEach((joint, place) => {
    const gap = distance(curled[place] ?? [0, 0, 0], ideal[place] ?? [0, 0, 0]);
    if (gap > drift) [drift, worst] = [gap, joint];
  });
  const bones = points.map((point, place) => distance(point, points[place - 1] ?? point));
  const length = bones.reduce((sum, bone) => sum + bone, 0);
  const straying = joints.filter((_, place) => {
    const off = angleBetween(axes.own[place] ?? [0, 1, 0], axes.ideal[place] ?? [0, 1, 0]);
    return off > STRAYING_DEGREES;
  });
  return { joints, drift: length > 0 ? drift / length : 0, about, straying, worst, curled, ideal };
}

/**
 * Places of a chain's points after each joint but the first is turned by `step` radians about its
 * axis, which turns with all above it. Axes are unit vectors, world space, as before the curl.
 */
export function curlPoints(points: readonly Vec3[], axes: readonly Vec3[], step: number): Vec3[] {
  // World turn after joint k: R_k = R_(k-1) T_k, with T_k about the joint's axis before the curl.
  let along: Quaternion = [0, 0, 0, 1];
  const out: Vec3[] = points.slice(0, 1);
  for (let place = 1; place < points.length; place++) {
    const bone = subtract(points[place] ?? [0, 0, 0], points[place - 1] ?? [0, 0, 0]);
    out.push(add(out[place - 1] ?? [0, 0, 0], rotate(along, bone)));
    along = multiplyQuaternions(along, aboutAxis(axes[place] ?? [0, 1, 0], step));
  }
  return out;
}
