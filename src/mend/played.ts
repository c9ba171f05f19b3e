import type { Facts } from '../measure/facts.js';
import { posedJoints } from '../measure/fit/absent.js';
import { counterparts } from '../measure/fit/counterparts.js';
import { played } from '../measure/fit/play.js';
import { sameRigs } from '../rig/file-order.js';
import type { RigModel } from '../rig/types.js';
import type { Like } from './like.js';

/** What the clips of the approved asset show on a rig, against what they show on their own. */
interface Shown {
  /** The largest angle between a bone and the approved one. Degrees. */
  readonly degrees: number;
  /** The farthest that a joint, or skin, is off. % of size. */
  readonly percent: number;
  /** Joints that clips pose and that no joint here has the name of. */
  readonly unfound: number;
}

/** The proof of a rig that was made like the approved one: its clips, played on both before and after. */
export interface PlayedRig {
  readonly rig: string;
  /** How many clips of the approved asset pose a joint of the rig. */
  readonly clips: number;
  readonly before: Shown;
  readonly after: Shown;
}

/** Plays the clips of the approved asset on each rig that has a counterpart there, before and after. */
export function playBoth(
  like: Like,
  wanted: Facts['wanted'],
  before: RigModel,
  after: RigModel,
): PlayedRig[] {
  return sameRigs(before.rigs, after.rigs).flatMap(([old, now]): PlayedRig[] => {
    if (now === undefined) return [];
    const was = shownOn({ rig: old, wanted, ...like.approvedOf(old, before) });
    const is = shownOn({ rig: now, wanted, ...like.approvedOf(now, after) });
    if (was === null || is === null) return [];
    return [{ rig: now.name, clips: is.clips, before: was.shown, after: is.shown }];
  });
}

function shownOn(facts: Facts): { readonly clips: number; readonly shown: Shown } | null {
  const result = played(facts);
  if (result === null) return null;
  const worst = (kinds: readonly ('bone' | 'place' | 'skin')[]): number =>
    result.list.reduce(
      (most, entry) => Math.max(most, ...kinds.map((kind) => entry[kind]?.value ?? 0)),
      0,
    );
  const shown = {
    degrees: worst(['bone']),
    percent: worst(['place', 'skin']),
    unfound: unfoundBy(facts),
  };
  return { clips: result.clips, shown };
}

/** Programs find joints by their names alone, whatever a comparison makes of them. */
function unfoundBy(facts: Facts): number {
  const { approved, rig } = facts;
  const answers = counterparts(facts)?.ofApproved;
  return [...posedJoints(facts)].filter((joint) => {
    const own = answers?.[joint] ?? -1;
    return own === -1 || rig.joints.names[own] !== approved?.rig?.joints.names[joint];
  }).length;
}
