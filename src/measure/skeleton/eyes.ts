import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { rigidJoints } from '../skin/rigid-skin.js';
import { skinCentre } from '../skin/skin-centre.js';
import { reaches } from '../skin/skin-reach.js';

/** A ball turns about its middle: its joint is this near to it, as a share of its radius. */
const IN_THE_MIDDLE = 0.5;

/** Whether an end joint is in the middle of a piece that only it moves, as in an eye. */
export function isEye(facts: Facts, joint: number): boolean {
  const isEnd = (facts.rig.joints.children[joint] ?? []).length === 0;
  if (!isEnd || rigidJoints(facts)[joint] === 0) return false;
  const centre = skinCentre(facts, joint);
  const place = bindPose(facts).places[joint];
  if (centre === null || place === undefined) return false;
  // The box's half diagonal is the root of three times the radius of a ball.
  const half = halfDiagonals(facts)[joint] ?? 0;
  return distance(centre, place) <= (IN_THE_MIDDLE * half) / Math.sqrt(3);
}

/** Half the diagonal of the largest box around what each joint moves in one part; 0 for none. */
const halfDiagonals = fact((facts): Float64Array => {
  const halves = new Float64Array(facts.rig.joints.count);
  for (const { joint, corners } of reaches(facts)) {
    const [low, high] = [corners[0], corners[7]];
    if (low && high) halves[joint] = Math.max(halves[joint] ?? 0, distance(low, high) / 2);
  }
  return halves;
});
