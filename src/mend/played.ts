import type { Facts } from '../measure/facts.js';
import { posedJoints } from '../measure/fit/absent.js';
import { counterparts } from '../measure/fit/counterparts.js';
import { type PlayedJoint, played } from '../measure/fit/play.js';
import type { PlayKind } from '../measure/fit/play-worst.js';
import { sameRigs } from '../rig/file-order.js';
import type { Rig, RigModel } from '../rig/types.js';
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
  /**
   * Whether a bone that could be compared before is now farther off than any was. What gets its name can
   * only be compared from then on, and is no worse for being seen.
   */
  readonly isWorse: boolean;
}

/** What clips show farther off than before only counts beyond this: degrees, and % of size. */
const NOTABLE = 0.1;

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
    const [bonesBefore, bonesNow] = [bonesOf(old, was.list), bonesOf(now, is.list)];
    const known = is.list.filter(({ joint }) => {
      const node = now.joints.node[joint] ?? -1;
      return bonesBefore.has(node) && bonesBefore.get(node) === bonesNow.get(node);
    });
    const isWorse =
      worst(known, BONES) > worst(was.list, BONES) + NOTABLE ||
      worst(known, PLACES) > worst(was.list, PLACES) + NOTABLE;
    return [{ rig: now.name, clips: is.clips, before: was.shown, after: is.shown, isWorse }];
  });
}

/** The bones that were compared: from which node the bone to each runs, -1 for none, by node. */
function bonesOf({ joints }: Rig, list: readonly PlayedJoint[]): Map<number, number> {
  const compared = new Set(list.map(({ joint }) => joint));
  const above = (joint: number): number => {
    let parent = joints.parent[joint] ?? -1;
    while (parent !== -1 && !compared.has(parent)) parent = joints.parent[parent] ?? -1;
    return joints.node[parent] ?? -1;
  };
  return new Map(list.map(({ joint }) => [joints.node[joint] ?? -1, above(joint)]));
}

interface OnRig {
  readonly clips: number;
  readonly list: readonly PlayedJoint[];
  readonly shown: Shown;
}

function shownOn(facts: Facts): OnRig | null {
  const result = played(facts);
  if (result === null) return null;
  const { clips, list } = result;
  const shown = {
    degrees: worst(list, BONES),
    percent: worst(list, PLACES),
    unfound: unfoundBy(facts),
  };
  return { clips, list, shown };
}

const BONES: readonly PlayKind[] = ['bone'];
const PLACES: readonly PlayKind[] = ['place', 'skin'];

function worst(list: readonly PlayedJoint[], kinds: readonly PlayKind[]): number {
  return list.reduce(
    (most, entry) => Math.max(most, ...kinds.map((kind) => entry[kind]?.value ?? 0)),
    0,
  );
}

/** Programs find joints by their names alone, whatever a comparison makes of them. */
function unfoundBy(facts: Facts): number {
  const { approved, rig } = facts;
  const answers = counterparts(facts)?.ofApproved;
  return [...posedJoints(facts)].filter((joint) => {
    const own = answers?.[joint] ?? -1;
    return rig.joints.names[own] !== approved?.rig?.joints.names[joint];
  }).length;
}
