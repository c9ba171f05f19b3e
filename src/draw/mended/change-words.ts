import { angleWords, percentage, significant } from '../../kit/figures.js';
import {
  type AimSeen,
  type ChangedJoint,
  isMoved,
  isScaled,
  isTurned,
  type RigPair,
} from './rig-pair.js';

/** What became of a joint, a few words each, with numbers and units. */
export function changeWords(joint: ChangedJoint): string[] {
  const { before, after, renamed, rehung, turned, moved, scaled } = joint;
  if (before === -1) return ['is a joint now'];
  if (after === -1) return ['is no joint of the skin any more'];
  return [
    isTurned(joint) && `axes turned by ${angleWords(turned)}`,
    isMoved(joint) && `place moved by ${percentage(100 * moved)} of the size of the rig`,
    isScaled(joint) && `axes ${significant(scaled)} times as long`,
    rehung !== null && `hangs on ${named(rehung[1])}, not on ${named(rehung[0])}`,
    renamed !== null && `is called "${renamed}" now`,
  ].filter((words) => words !== false);
}

function named(joint: string | null): string {
  return joint === null ? 'no joint' : `"${joint}"`;
}

/** What became of the axes of all joints alike; null where nothing did. */
export function scaleWords({ scaled }: Pick<RigPair, 'scaled'>): string | null {
  return isScaled({ scaled })
    ? `As stored, the axes of all joints are ${significant(scaled)} times as long as before. The mesh has its size.`
    : null;
}

/** How an aim axis meets its bone; null where it has none. */
export function aimWords(aim: AimSeen | null): string | null {
  if (aim === null) return null;
  return aim.miss < SQUARE
    ? `${aim.axis} along the bone`
    : `${aim.axis} ${angleWords(aim.miss)} off the bone`;
}

/** A smaller angle cannot be seen. Degrees. */
const SQUARE = 0.1;
