import type { Rig } from '../../rig/types.js';
import { type Facts, fact } from '../facts.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { type MatchedBy, Matcher } from './matcher.js';
import { nameKeys } from './name-keys.js';
import { scaleOver, worldLengths } from './skeleton-scale.js';

export type { MatchedBy };

/** Which joint of a rig answers to which of the approved one. */
export interface Matching {
  readonly approved: Rig;
  /** The joint of the rig for each approved joint, -1 for none. */
  readonly ofApproved: Int32Array;
  /** The approved joint for each joint of the rig, -1 for none. */
  readonly ofRig: Int32Array;
  /** How each approved joint was found; null where it was not. */
  readonly by: readonly (MatchedBy | null)[];
  /** Size of the rig's skeleton over that of the approved one (see `scaleOver`). */
  readonly scale: number;
}

/** The approved rig, to be measured like any other; null where there is none for this rig. */
export function approvedFacts({ approved, wanted }: Facts): Facts | null {
  return approved?.rig == null ? null : { rig: approved.rig, wanted };
}

/**
 * Matches the joints of a rig with those of the approved one; null where there is none for it.
 *
 * Each way is tried on all joints before a weaker one is, and takes only joints that it knows from
 * all others still left on both sides. Below joints that are matched their children are told apart
 * by less: a name that five joints have may be that of one child.
 */
export const matching = fact((facts): Matching | null => {
  const theirs = approvedFacts(facts);
  if (theirs === null) return null;
  const [a, c] = [theirs.rig, facts.rig];
  const matcher = new Matcher(a.joints, c.joints);
  const names = { approved: given(a), rig: given(c) };
  const roots = { approved: bodyRoot(theirs).joint, rig: bodyRoot(facts).joint };

  // From the top first: where the mesh differs, the body can begin at another joint.
  matcher.siblings(topsOf(a), topsOf(c), names, 'path');
  matcher.descend(names, 'path');
  matcher.below(roots.approved, roots.rig, names, 'path');
  matcher.descend(names, 'path');
  matcher.anywhere(names, 'name');
  matcher.descend(names, 'name');

  const keys = { approved: keysOf(a), rig: keysOf(c) };
  matcher.anywhere(keys, 'parts');
  matcher.descend(keys, 'parts');
  matcher.anywhere({ approved: bonesOf(a), rig: bonesOf(c) }, 'mapping');
  matcher.descend(names, 'name');
  matcher.unnamed(topsOf(a), topsOf(c));

  const { ofApproved, ofRig, by } = matcher;
  const scale = scaleOver(theirs, ofApproved, worldLengths(theirs), worldLengths(facts));
  return { approved: a, ofApproved, ofRig, by, scale };
});

function topsOf({ joints }: Rig): number[] {
  return [...joints.parent.keys()].filter((joint) => joints.parent[joint] === -1);
}

function given({ joints }: Rig): (string | null)[] {
  return joints.names.map((name, joint) => (joints.named[joint] === true ? name : null));
}

function keysOf({ joints }: Rig): (string | null)[] {
  return nameKeys(joints.names, joints.named);
}

function bonesOf({ joints, humanoid }: Rig): (string | null)[] {
  const bones: (string | null)[] = joints.names.map(() => null);
  for (const [bone, joint] of humanoid?.joints ?? []) bones[joint] = bone;
  return bones;
}
