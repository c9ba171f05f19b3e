import { type Evidence, type NotApplicable, notApplicable } from '../../src/kit/finding.js';
import type { Yield } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import type { Aim } from '../../src/measure/skeleton/aim.js';
import { conventions } from '../../src/measure/skeleton/conventions.js';
import { arrow, axisWords } from '../parts.js';

const WHY_NOT = {
  'world-aligned':
    'the frames are world-aligned: over 80 % of the joints share one orientation, or the axes of 90 % are parallel to those of the world',
  unknown: 'no joint has a bone that it could aim along',
  mixed: 'the rig has no common aim axis to compare its joints with',
};

/** Why the rules about aimed frames have nothing to say of a rig; null when they have. */
export function notAimed(facts: Facts): NotApplicable | null {
  const { kind } = conventions(facts);
  return kind === 'aimed' ? null : notApplicable(WHY_NOT[kind]);
}

/** How many times as far as its axes are skewed a frame can seem turned for that reason alone. */
const BY_SKEW = 3;

/**
 * A frame that is mirrored from above is off its bone for that reason alone, and so is one that is skewed
 * by so much that nobody can use it. Where the skew is small, so is what it turns.
 */
export const MIRRORED_OR_SKEWED: readonly Yield[] = [
  {
    to: ['scale.shear'],
    on: 'joints',
    explains: (skew, { unit, measured }) =>
      skew.level === 'error' ||
      unit !== 'degrees' ||
      measured <= BY_SKEW * degreesOf(Math.min(1, skew.measured / 100)),
  },
  { to: ['scale.negative'], on: 'above' },
];

/** How far axes with this cosine between them are from a right angle. */
function degreesOf(cosine: number): number {
  return (Math.asin(cosine) * 180) / Math.PI;
}

/** The aim axis and the bone of a joint, as arrows. */
export function aimEvidence(facts: Facts, { joint, pointing, bone }: Aim): Evidence[] {
  const from = bonePose(facts).places[joint] ?? [0, 0, 0];
  return [arrow('aim axis', from, pointing), arrow('bone', from, bone)];
}

/** `by 20° about its +X axis (right-handed)`: the turn that takes an aim axis to its bone. */
export function turnWords({ miss, about }: Aim, words: Words): string {
  const angle = `by ${words.degrees(miss)}`;
  return about === null ? angle : `${angle} about ${axisWords(about, words)} (right-handed)`;
}

/** The end of a remedy that turns a frame, where the twin of the joint is to be turned too. */
export function turnTwin(twin: Aim | null, words: Words): string {
  return twin === null
    ? ''
    : `, and that of ${words.joint(twin.joint)} ${turnWords(twin, words)}, mirrored`;
}
