import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Difference } from '../../src/measure/fit/differences.js';
import type { Quaternion } from '../../src/rig/quaternion.js';
import { sameOf } from '../parts.js';
import { lessOf, OF_OTHER_SIDE } from './with-approved.js';

/** A turned frame. */
export type Turned = Difference & {
  /** Whether all that hangs on it is turned along. */
  readonly along: boolean;
  /** Whether the whole rig is that of the other side. */
  readonly mirror: boolean;
};

/** Frames turned alike to within this were turned in one go. Degrees. */
export const ALIKE = 1;

export function frameWords(
  worst: Turned,
  others: readonly Turned[],
  { measured, limit }: { readonly measured: number; readonly limit: number },
  words: Words,
): Said {
  const angle = words.degrees(measured);
  const axis = axisOf(worst.turn);
  const about = axis === null ? '' : ` about its ${axis} axis`;
  const alike = others.every(({ degrees }) => worst.degrees - degrees < ALIKE);
  const also = alike ? sameOf(others, words) : lessOf(others, words);
  return {
    message: `The frame of ${words.joint(worst.joint)} is turned by ${angle}${about} against the approved rig (limit ${words.degrees(limit)})${also}.`,
    remedy: worst.mirror
      ? OF_OTHER_SIDE
      : turnBack(worst, others.length > 0, alike ? angle : null, words),
  };
}

/** @param angle By which all are turned; null where each is by another. */
function turnBack(
  { joint, along }: Turned,
  isOneOfSeveral: boolean,
  angle: string | null,
  words: Words,
): string {
  if (along) {
    const which = isOneOfSeveral ? 'each joint' : words.joint(joint);
    const to = angle === null ? 'to the direction it has in the approved rig' : `back by ${angle}`;
    return `In the bind pose, turn ${which}, its children and its skin ${to}.`;
  }
  if (angle === null) return 'Turn only the frames, to those of the approved rig.';
  const frames = isOneOfSeveral ? 'the frames' : 'the frame';
  return `Turn only ${frames} back by ${angle}; leave the children and the skin in place.`;
}

/** An axis of a turn nearer to one of the frame's own than this is that one. Cosine of 5 degrees. */
const ALONG = Math.cos((5 * Math.PI) / 180);

/** The frame's own axis that a turn is about; null where it is about none of them. */
function axisOf([x, y, z]: Quaternion): string | null {
  const size = Math.hypot(x, y, z);
  const at = [x, y, z].findIndex((part) => Math.abs(part) > ALONG * size);
  return 'XYZ'[at] ?? null;
}
