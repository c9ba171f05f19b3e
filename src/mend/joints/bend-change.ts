import { percentage, significant } from '../../kit/figures.js';
import { BEND_DEGREES, type BentJoint, bentAt } from '../../measure/bend/bend-lab.js';
import type { Facts } from '../../measure/facts.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { counted } from '../../report/finding-words.js';
import type { Vec3 } from '../../rig/vec3.js';

/** What the skin about a joint does in its worst bend, at its place and at another, in words. */
export interface BendChange {
  readonly before: string;
  readonly after: string;
  /** Why the other place is worse; null where it is not. */
  readonly worse: string | null;
}

/** Less volume lost is no reason to leave a joint where it is. Share. */
const NEAR = 0.01;

/** Null where a turn of the joint changes the shape of no skin. */
export function bendChange(facts: Facts, joint: number, place: Vec3): BendChange | null {
  const [old, made] = [bindPose(facts).places[joint] ?? place, place].map((at) =>
    bentAt(facts, joint, at),
  );
  if (old == null || made == null) return null;
  const [kept, left] = [old.worst.volumeKept, made.worst.volumeKept];
  const isWorse =
    kept === null || left === null ? made.worst.inverted > old.worst.inverted : left < kept - NEAR;
  const worse = `the skin would bend worse there: ${wordsOf(made)}, now ${wordsOf(old)}`;
  const [before, after] = [wordsOf(old), wordsOf(made)];
  return { before, after, worse: isWorse ? worse : null };
}

function wordsOf({ worst: { volumeKept, stretch, inverted } }: BentJoint): string {
  const volume =
    volumeKept === null
      ? ''
      : volumeKept < 0
        ? 'its volume is turned inside out, '
        : `it keeps ${percentage(100 * volumeKept)} of its volume, `;
  const edge = `an edge is stretched to ${significant(stretch)} times its length`;
  return `bent ${BEND_DEGREES}°, ${volume}${edge}, ${counted(inverted, 'triangle')} inside out`;
}
