import type { Rig } from '../../rig/types.js';
import { fact } from '../facts.js';

/** How a joint of the approved rig was found again. */
export type MatchedBy = 'path' | 'name';

/** Which joint of a rig answers to which of the approved one. */
export interface Matching {
  readonly approved: Rig;
  /** The joint of the rig for each approved joint, -1 for none. */
  readonly ofApproved: Int32Array;
  /** The approved joint for each joint of the rig, -1 for none. */
  readonly ofRig: Int32Array;
  /** How each approved joint was found; null where it was not. */
  readonly by: readonly (MatchedBy | null)[];
  /** Size of the rig's skeleton over that of the approved one. */
  readonly scale: number;
}

/** Matches the joints of a rig with those of the approved one; null where there is none for it. */
export const matching = fact((facts): Matching | null => {
  const { rig, approved } = facts;
  if (approved?.rig == null) return null;
  const theirs = approved.rig;
  const ofApproved = new Int32Array(theirs.joints.count).fill(-1);
  const ofRig = new Int32Array(rig.joints.count).fill(-1);
  const by: (MatchedBy | null)[] = theirs.joints.names.map(() => null);
  const match = (own: readonly string[], other: readonly string[], how: MatchedBy): void => {
    for (const [joint, key] of other.entries()) {
      const found = own.findIndex((name, at) => name === key && ofRig[at] === -1);
      if (ofApproved[joint] !== -1 || found === -1) continue;
      ofApproved[joint] = found;
      ofRig[found] = joint;
      by[joint] = how;
    }
  };
  match(rig.joints.paths, theirs.joints.paths, 'path');
  match(rig.joints.names, theirs.joints.names, 'name');
  return { approved: theirs, ofApproved, ofRig, by, scale: 1 };
});
