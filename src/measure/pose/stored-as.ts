import type { Facts } from '../facts.js';
import { type PosedJoint, posedJoints } from './posed-joints.js';
import { restAgainstBind } from './rest-against-bind.js';
import { type ClipMoment, findStoredPose } from './stored-pose.js';

/** What the stored pose is, beside the bind pose. */
export interface StoredAs {
  /** The joints that are posed by themselves. */
  readonly posed: readonly PosedJoint[];
  /** The moment of a clip that shows it; null where none does. */
  readonly moment: ClipMoment | null;
}

/** How far a clip's pose may be from the stored one, as a share of what that is off the bind pose. */
const NEAR_CLIP = 0.03;

/** Which joints are posed as stored, and the clip whose pose that is. `away`: what counts as posed, world units. */
export function storedAs(facts: Facts, away: number): StoredAs {
  const clearly = posedJoints(facts, away);
  // Small turns that add up along a chain are each under the limit: then those are the posed ones.
  const posed = clearly.length > 0 ? clearly : posedJoints(facts, away / 10);
  const near = Math.max(away, NEAR_CLIP * restAgainstBind(facts).shift);
  return { posed, moment: findStoredPose(facts, posed, near) };
}
