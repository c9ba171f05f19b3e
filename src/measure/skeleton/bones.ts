import { direction, distance, subtract, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bonePose } from '../pose/bone-pose.js';

/** A bone shorter than this has no direction to judge, relative to size. */
export const SHORTEST_BONE = 1e-4;

/** Length of the bone from each joint's parent joint to it; 0 for topmost joints. World units. */
export const boneLengths = fact((facts): Float64Array => {
  const { places } = bonePose(facts);
  return Float64Array.from(places, (place, joint) => {
    const parent = facts.rig.joints.parent[joint] ?? -1;
    const above = parent === -1 ? undefined : places[parent];
    return above === undefined ? 0 : distance(place, above);
  });
});

/**
 * World direction of the bone from `joint` to `child`, null when it is too short to have one, or when
 * no skin lists both.
 */
export function boneDirection(facts: Facts, joint: number, child: number): Vec3 | null {
  const { places, apart } = bonePose(facts);
  const [from, to] = [places[joint], places[child]];
  if (from === undefined || to === undefined || apart[child] === 1) return null;
  const bone = subtract(to, from);
  return Math.hypot(...bone) > SHORTEST_BONE * size(facts) ? direction(bone) : null;
}
