import { mat4At } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { counterparts } from './counterparts.js';
import { approvedFacts, matching } from './matching.js';
import { layWhole, standingOf, turnsToTry } from './whole-turn.js';

/** A mirror counts when it leaves less than this of what the joints are off without it. Share. */
const TELLING = 0.25;
/** Joints nearer than this on average are in their places. % of size. */
const IN_PLACE = 1;
/** Fewer joints have no side: three lie in one plane. */
const FEWEST = 4;

/** About X, Y and Z of the world. */
const HALF_TURNS: readonly Quaternion[] = [
  [1, 0, 0, 0],
  [0, 1, 0, 0],
  [0, 0, 1, 0],
];

/**
 * Whether this rig is the approved one in a mirror, such as a right hand beside a left one: turned and
 * moved as a whole, the joints of the mirror image are where those of this rig are, and those of the
 * approved rig itself are not. Left and right of a body, whose names were only exchanged, are none.
 */
export const isMirrorImage = fact((facts): boolean => {
  const match = matching(facts);
  const theirs = approvedFacts(facts);
  const found = counterparts(facts);
  if (match === null || theirs === null || found === null) return false;
  const pairs = [...found.ofApproved.entries()].filter(([, joint]) => joint !== -1);
  if (pairs.length < FEWEST) return false;
  const own = standing(facts, false);
  const parents = match.approved.joints.parent;
  const lay = (mirrored: boolean) => {
    const from = standing(theirs, mirrored);
    // A body that was turned without its frames is thin enough to look like its mirror image.
    const turns = [...turnsToTry(from, own, pairs), ...HALF_TURNS];
    return layWhole(from, own, pairs, parents, match.scale, turns);
  };
  const straight = lay(false);
  const enough = (IN_PLACE / 100) * straight.size * pairs.length;
  return straight.least > enough && lay(true).least < TELLING * straight.least;
});

function standing(facts: Facts, mirrored: boolean) {
  const { places, world } = bonePose(facts);
  return standingOf(places, (joint) => mat4At(world, joint), mirrored);
}
