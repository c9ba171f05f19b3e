import { angleBetween, direction, distance, length, subtract, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bonePose } from '../pose/bone-pose.js';

/** A shorter bone has no direction. Share of size. */
const SHORTEST_BONE = 1e-4;

/** Length of the bone from each joint's parent joint to it; 0 for topmost joints. World units. */
export const boneLengths = fact((facts): Float64Array => {
  const { places } = bonePose(facts);
  return Float64Array.from(places, (place, joint) => {
    const above = places[facts.rig.joints.parent[joint] ?? -1];
    return above === undefined ? 0 : distance(place, above);
  });
});

/** World direction of the bone to a child; null when it is too short or no skin lists both. */
export function boneDirection(facts: Facts, joint: number, child: number): Vec3 | null {
  const { places, apart } = bonePose(facts);
  const from = places[joint];
  const to = places[child];
  if (from === undefined || to === undefined || apart[child] === 1) return null;
  const bone = subtract(to, from);
  return length(bone) > SHORTEST_BONE * size(facts) ? direction(bone) : null;
}

/** Degrees from the bone into a joint to the one out to `child`; 0 where one has no direction. */
export function turnAt(facts: Facts, joint: number, child: number): number {
  const into = boneDirection(facts, facts.rig.joints.parent[joint] ?? -1, joint);
  const out = boneDirection(facts, joint, child);
  return into === null || out === null ? 0 : angleBetween(into, out);
}
