import { angleBetween, cross, direction } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { upOfLegs } from './legs.js';
import { pairs } from './pairs.js';
import { between, vectorOf, type Way, wayOf } from './way.js';

/**
 * Which way is left: the sum of the ways from each right joint to its left partner, of pairs by
 * mapping or by name. Places alone cannot tell which of two is the left one.
 */
export const leftOfPairs = fact((facts): Way | null => {
  const { places } = bindPose(facts);
  const told = pairs(facts).list.filter(({ by }) => by !== 'place');
  const ways = told.map(({ left, right }) => between(places, right, left));
  return wayOf(
    facts,
    ways,
    told.flatMap(({ left, right }) => [left, right]),
  );
});

/**
 * Which way a rig looks, if `vertical` is up: left × up, since left is at +X of what stands up along +Y
 * and looks along +Z (glTF 2.0, 3.4 Coordinate System and Units).
 */
export function frontOf(facts: Facts, vertical: Axis): Way | null {
  const left = leftOfPairs(facts);
  if (left === null) return null;
  const up = standingAxis(facts) ?? vertical;
  const along = direction(cross(left.along, vectorOf(up)));
  // Sides that lie above each other tell nothing of the front.
  const lean = Math.abs(90 - angleBetween(left.along, vectorOf(up)));
  return along === null || lean > LEANING_DEGREES ? null : { along, joints: left.joints };
}

/** Left lies across up within this. */
const LEANING_DEGREES = 30;
/** Legs stand along an axis of the world within this. */
const STANDING_DEGREES = 30;

/** The axis of the world that the legs stand along; null where none is near. */
function standingAxis(facts: Facts): Axis | null {
  const up = upOfLegs(facts)?.along;
  if (up === undefined) return null;
  return ALL_AXES.find((axis) => angleBetween(vectorOf(axis), up) <= STANDING_DEGREES) ?? null;
}
