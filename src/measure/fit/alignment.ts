import { determinant3, mat4At } from '../../rig/mat4.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { pairs as sidesOf } from '../skeleton/pairs.js';
import { approvedFacts, matching } from './matching.js';
import { type LaidOver, layWhole, type Pairs, type Standing, standingOf } from './whole-turn.js';

/** The two skeletons laid over each other: larger, turned and moved as a whole is no difference. */
export interface Alignment {
  /** The approved rig, mirrored in X where the whole of this rig is. */
  readonly approved: Standing;
  readonly rig: Standing;
  /** How the whole of this rig is turned against the approved one. */
  readonly turn: Quaternion;
  /**
   * The turn of the topmost matched joint, where the rig may as well be turned as that is: with half of
   * a body turned, either half may be the one at fault, and the top holds the other. Else `turn`.
   */
  readonly topTurn: Quaternion;
  /** Size over size, as in the matching. */
  readonly scale: number;
  /** The diagonal of the box round the matched joints of this rig. */
  readonly size: number;
  /** Where a place of the approved rig is in this one. */
  toRig(place: Vec3): Vec3;
}

/** Of two ways that leave joints off, one is as good up to so many times what the other leaves. */
const AS_GOOD = 2;

/** Lays the approved rig over this one, as both were bound. Null where there is none or no joint is matched. */
export const alignment = fact((facts): Alignment | null => {
  const match = matching(facts);
  const theirs = approvedFacts(facts);
  if (match === null || theirs === null) return null;
  const pairs = [...match.ofApproved.entries()].filter(([, joint]) => joint !== -1);
  if (pairs.length === 0) return null;
  const mirrored = isMirrored(bonePose(theirs).world, bonePose(facts).world, pairs);
  const [approved, rig] = [standing(theirs, mirrored), standing(facts, false)];
  const { scale: k } = match;
  const lay = (joints: Pairs) => layWhole(approved, rig, joints, match.approved.joints.parent, k);
  const { ways, best, least, size } = likelier(lay(pairs), () => lay(exchanged(theirs, pairs)));
  if (best === undefined) return null;
  const { turn, toOther: toRig } = best;
  const top = ways[1];
  const topTurn = top !== undefined && top.off <= AS_GOOD * least ? top.turn : turn;
  return { approved, rig, scale: k, size, turn, topTurn, toRig };
});

/** Joints may be off by this on average, whichever are compared: what a file rounds. Share of size. */
const IN_PLACE = 1e-4;

/**
 * Where left and right have each other's names all over a body, it looks as if it had turned round, but
 * for what is in front and behind. Laid over with the names exchanged it has to be twice as near, so that
 * two characters of other proportions are not taken for that.
 */
function likelier(asNamed: LaidOver, exchange: () => LaidOver): LaidOver {
  const { best, size, count } = asNamed;
  if (best === undefined || best.off <= IN_PLACE * size * count) return asNamed;
  const other = exchange();
  return other.best !== undefined && 2 * other.best.off < best.off ? other : asNamed;
}

/** The same pairs, with the partner's answer for each joint that has a partner. */
function exchanged(theirs: Facts, matched: Pairs): Pairs {
  const answers = new Map(matched);
  const { partner } = sidesOf(theirs);
  return matched.map(([joint, own]) => [joint, answers.get(partner[joint] ?? -1) ?? own] as const);
}

/** Whether most joints are left-handed on one side alone: a rig under a holder that mirrors it. */
function isMirrored(approved: Float64Array, rig: Float64Array, pairs: Pairs): boolean {
  const opposite = pairs.filter(
    ([joint, own]) => determinant3(mat4At(approved, joint)) * determinant3(mat4At(rig, own)) < 0,
  );
  return opposite.length * 2 > pairs.length;
}

function standing(facts: Facts, mirrored: boolean): Standing {
  const { places, world } = bonePose(facts);
  return standingOf(places, (joint) => mat4At(world, joint), mirrored);
}
