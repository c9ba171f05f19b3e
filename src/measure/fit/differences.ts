import { turnDegrees } from '../../rig/decompose.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { distance, length, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { type Alignment, alignment } from './alignment.js';
import { counterparts } from './counterparts.js';
import { approvedFacts } from './matching.js';
import { NO_TURN, turnFrom } from './whole-turn.js';

/** How a joint differs from the approved one, both against what they hang on. Bind pose. */
export interface Difference {
  readonly joint: number;
  /** The joint of the approved rig. */
  readonly approved: number;
  /** The joint of this rig that it is measured against, -1 for the whole rig. */
  readonly against: number;
  /** The turn of its frame, in the frame as it is wanted; see `turnDegrees`. */
  readonly turn: Quaternion;
  readonly degrees: number;
  /** The bone to it; null where it is measured against the whole rig. */
  readonly bone: BoneDifference | null;
}

/** World units of this rig; the approved bone is made as large as this rig is. */
interface BoneDifference {
  readonly length: number;
  readonly wanted: number;
  /** How far its end is from where the approved one would be. */
  readonly off: number;
  /** Where the end would be. */
  readonly place: Vec3;
}

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

/** Two turns closer than this are one: what the writing of numbers leaves. Degrees. */
const ALIKE = 0.5;

/**
 * Each joint that answers to an approved one, against the nearest joint above that does.
 *
 * With b a joint's frame against its parent's, the turn is that of b_A^-1 b_C. But where the parent's
 * own frame is turned, b differs in all its children too, and the cause is the parent alone. So a
 * joint may follow its parent in either of two ways: turned along with it, as a limb is that was
 * bound in another pose, or left where it was, as all is below a frame that was turned in place. Where
 * the parent's children stand tells which; where they stand alike in both ways (a turn about the
 * bone), the nearer one counts.
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
    if (!isRehung) list.push({ joint: own, approved: joint, against, ...way.difference });
  }
  return { list, rehung, along };
});

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

interface Ends {
  readonly joint: number;
  readonly own: number;
  readonly from: number;
  readonly against: number;
}

interface Way {
  readonly turn: Quaternion;
  readonly difference: Pick<Difference, 'turn' | 'degrees' | 'bone'>;
}

function chooseWay(laid: Alignment, turns: readonly Quaternion[], ends: Ends): Way {
  const ways = turns.map((turn): Way => ({ turn, difference: differenceBy(laid, turn, ends) }));
  const nothing: Way = { turn: laid.turn, difference: { turn: NO_TURN, degrees: 0, bone: null } };
  return ways.reduce((best, way) => (isNearer(way, best) ? way : best), ways[0] ?? nothing);
}

/** Whether a joint is nearer to where one way has it, by place and, where that is alike, by turn. */
function isNearer({ difference: a }: Way, { difference: b }: Way): boolean {
  const nearer = (b.bone?.off ?? 0) - (a.bone?.off ?? 0);
  const notable = (a.bone?.wanted ?? 0) * Math.sin((ALIKE * Math.PI) / 180);
  return Math.abs(nearer) > notable ? nearer > 0 : a.degrees < b.degrees;
}

function differenceBy(laid: Alignment, turn: Quaternion, ends: Ends): Way['difference'] {
  const { approved, rig, scale: k } = laid;
  const frame = multiplyQuaternions(turn, approved.turns[ends.joint] ?? NO_TURN);
  const off = multiplyQuaternions(conjugate(frame), rig.turns[ends.own] ?? NO_TURN);
  const [start, end] = [approved.places[ends.from], approved.places[ends.joint]];
  const [ownStart, ownEnd] = [rig.places[ends.against], rig.places[ends.own]];
  let bone: BoneDifference | null = null;
  if (start && end && ownStart && ownEnd) {
    const way = scale(rotate(turn, subtract(end, start)), k);
    const place: Vec3 = [ownStart[0] + way[0], ownStart[1] + way[1], ownStart[2] + way[2]];
    bone = {
      length: distance(ownStart, ownEnd),
      wanted: length(way),
      off: distance(ownEnd, place),
      place,
    };
  }
  return { turn: off, degrees: turnDegrees(off), bone };
}
