import { turnDegrees } from '../../rig/decompose.js';
import { conjugate, multiplyQuaternions, type Quaternion } from '../../rig/quaternion.js';
import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { type Alignment, alignment } from './alignment.js';
import { counterparts } from './counterparts.js';
import { ALIKE, chooseWay, type Difference } from './joint-difference.js';
import { approvedFacts } from './matching.js';
import { turnFrom } from './whole-turn.js';

export type { Difference };

/** A joint that hangs on another one than in the approved rig. */
export interface Rehung {
  readonly joint: number;
  readonly approved: number;
  /** The joint of this rig that it should hang on; -1 for none. */
  readonly wanted: number;
}

interface Differences {
  readonly list: readonly Difference[];
  readonly rehung: readonly Rehung[];
  /** Joints of this rig below which what hangs on them is turned along with them. */
  readonly along: ReadonlySet<number>;
}

/**
 * Each joint that answers to an approved one, against the nearest joint above that does.
 *
 * With b a joint's frame against its parent's, the turn is that of b_A^-1 b_C. But where the parent's
 * own frame is turned, b differs in all its children too, and the cause is the parent alone. So a
 * joint may follow its parent in either of two ways: turned along with it, as a limb is that was
 * bound in another pose, or left where it was, as all is below a frame that was turned in place. Where
 * the parent's children stand tells which; where they stand alike in both ways (a turn about the
 * bone), the nearer one counts.
 *
 * A joint that hangs on none is held to its place in the whole, if there are others like it: where one
 * joint carries all, it moves all, which is no difference.
 */
export const differences = fact((facts): Differences => {
  const theirs = approvedFacts(facts);
  const laid = alignment(facts);
  const found = counterparts(facts);
  if (theirs === null || laid === null || found === null)
    return { list: [], rehung: [], along: new Set() };
  const { ofApproved, ofRig } = found;
  const { parent } = facts.rig.joints;
  const above = nearestAbove(theirs.rig.joints.parent, ofApproved);
  const ownAbove = nearestAbove(parent, ofRig);
  const alone = standingAlone(theirs, above, ofApproved);
  const list: Difference[] = [];
  const rehung: Rehung[] = [];
  const along = new Set<number>();
  // What the frame of each approved joint would be turned by if it were not at fault.
  const wanted: Quaternion[] = [];
  for (const [joint, own] of ofApproved.entries()) {
    if (own === -1) continue;
    const from = above[joint] ?? -1;
    const parentIsFound = theirs.rig.joints.parent[joint] === from;
    const answer = ofApproved[from] ?? -1;
    // A parent that is missing is told as missing; what hangs on the next one above then hangs right.
    const hangsOn = (parentIsFound && from !== -1 ? parent[own] : ownAbove[own]) ?? -1;
    const isRehung = hangsOn !== answer;
    if (isRehung) rehung.push({ joint: own, approved: joint, wanted: answer });
    const against = isRehung ? -1 : answer;
    const ways =
      against === -1
        ? [isRehung ? laid.turn : laid.topTurn]
        : [wanted[from] ?? laid.turn, turnFrom(laid.approved, laid.rig, from, answer)];
    if (from !== -1 && above[from] === -1) ways.push(laid.turn);
    const way = chooseWay(laid, ways, { joint, own, from, against });
    wanted[joint] = way.turn;
    if (way.turn === ways[1] && turnDegrees(between(ways[0] ?? way.turn, way.turn)) > ALIKE)
      along.add(against);
    // Where a joint hangs elsewhere, its frame and its bone are measured against something else.
    if (isRehung) continue;
    const stand = alone.has(joint) ? standOf(laid, joint, own) : null;
    list.push({ joint: own, approved: joint, against, ...way.difference, stand });
  }
  return { list, rehung, along };
});

/**
 * Matched joints with no matched joint above them, where there are several. Left out is what nobody sees,
 * such as a carrier: neither it nor what hangs on it moves skin.
 */
function standingAlone(theirs: Facts, above: Int32Array, ofApproved: Int32Array) {
  const { movesBelow } = skinMass(theirs);
  const tops = [...ofApproved.keys()].filter(
    (joint) => ofApproved[joint] !== -1 && above[joint] === -1 && movesBelow[joint] === 1,
  );
  return new Set(tops.length > 1 ? tops : []);
}

function standOf({ approved, rig, toRig }: Alignment, joint: number, own: number) {
  const place = toRig(approved.places[joint] ?? [0, 0, 0]);
  return { off: distance(rig.places[own] ?? place, place), place };
}

/** The turn from one turn to another. */
function between(from: Quaternion, to: Quaternion): Quaternion {
  return multiplyQuaternions(to, conjugate(from));
}

/** The nearest joint above each that answers to one on the other side, -1 for none. */
function nearestAbove(parent: Int32Array, answers: Int32Array): Int32Array {
  const above = new Int32Array(parent.length).fill(-1);
  for (let joint = 0; joint < parent.length; joint++) {
    const next = parent[joint] ?? -1;
    above[joint] = next !== -1 && answers[next] === -1 ? (above[next] ?? -1) : next;
  }
  return above;
}
