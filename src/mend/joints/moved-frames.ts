import type { Facts } from '../../measure/facts.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { bonePose } from '../../measure/pose/bone-pose.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { axisWorld } from '../../measure/skeleton/frames.js';
import { decompose } from '../../rig/decompose.js';
import { invert, mat4At, transformPoint } from '../../rig/mat4.js';
import {
  aboutAxis,
  conjugate,
  multiplyQuaternions,
  type Quaternion,
} from '../../rig/quaternion.js';
import {
  add,
  angleBetween,
  cross,
  direction,
  radians,
  subtract,
  type Vec3,
} from '../../rig/vec3.js';
import { NO_CHANGE, type Similarity } from '../reframe/similarity.js';

/** A frame that is farther off its bone was never aimed along it, and is not turned after it. Degrees. */
const AIMED = 10;

/**
 * The change of each frame when joints get other places in the bind pose: those joints move, and what was
 * aimed along a bone that changes is aimed along it as well, by the smallest turn that does it. By node; null
 * where a joint is scaled to zero and cannot move.
 */
export function movedFrames(
  facts: Facts,
  places: ReadonlyMap<number, Vec3>,
): Map<number, Similarity> | null {
  const { joints } = facts.rig;
  const frames = new Map<number, Similarity>();
  for (let joint = 0; joint < joints.count; joint++) {
    const target = aimJoints(facts)[joint] ?? -1;
    const place = places.get(joint);
    if (place === undefined && !places.has(target)) continue;
    const world = mat4At(bindPose(facts).world, joint);
    const back = invert(world);
    if (back === null) return null;
    frames.set(joints.node[joint] ?? -1, {
      ...NO_CHANGE,
      translation: place === undefined ? [0, 0, 0] : transformPoint(back, place),
      rotation: turnAfter(facts, joint, target, places),
    });
  }
  return frames;
}

/** The turn of a joint's frame, in that frame, which keeps it aimed at its next joint. */
function turnAfter(
  facts: Facts,
  joint: number,
  target: number,
  places: ReadonlyMap<number, Vec3>,
): Quaternion {
  const { rotation: still } = NO_CHANGE;
  const axis = aimAxisOf(facts, joint);
  const { places: built, world } = bonePose(facts);
  const [from, to] = [built[joint], built[target]];
  if (axis === null || from === undefined || to === undefined) return still;
  const before = direction(subtract(to, from));
  const after = direction(
    subtract(add(to, moveOf(facts, target, places)), add(from, moveOf(facts, joint, places))),
  );
  if (before === null || after === null) return still;
  if (angleBetween(axisWorld(facts, joint, axis), before) > AIMED) return still;
  const about = direction(cross(before, after));
  if (about === null) return still;
  const turn = aboutAxis(about, radians(angleBetween(before, after)));
  const { rotation } = decompose(mat4At(world, joint));
  return multiplyQuaternions(multiplyQuaternions(conjugate(rotation), turn), rotation);
}

function moveOf(facts: Facts, joint: number, places: ReadonlyMap<number, Vec3>): Vec3 {
  const [from, to] = [bindPose(facts).places[joint], places.get(joint)];
  return from === undefined || to === undefined ? [0, 0, 0] : subtract(to, from);
}
