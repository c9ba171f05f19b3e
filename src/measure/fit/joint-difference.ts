import { turnDegrees } from '../../rig/decompose.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { distance, length, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import type { Alignment } from './alignment.js';
import { NO_TURN } from './whole-turn.js';

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
  /** Where no bone runs to it and it could stand elsewhere: its place in the whole. See `differences`. */
  readonly stand: StandDifference | null;
}

/** World units of this rig. */
export interface StandDifference {
  readonly off: number;
  /** Where it would stand, with the approved skeleton laid over this one. */
  readonly place: Vec3;
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

/** Two turns closer than this are one: what the writing of numbers leaves. Degrees. */
export const ALIKE = 0.5;

/** The bone that is measured: the approved joint and this rig's own, and what each hangs on. */
interface Ends {
  readonly joint: number;
  readonly own: number;
  readonly from: number;
  readonly against: number;
}

/** What a joint differs by if all that it hangs on is turned so. */
interface Way {
  readonly turn: Quaternion;
  readonly difference: Pick<Difference, 'turn' | 'degrees' | 'bone'>;
}

/** The way in which a joint follows what it hangs on: the one that leaves it nearest. */
export function chooseWay(laid: Alignment, turns: readonly Quaternion[], ends: Ends): Way {
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
