import { type NotApplicable, notApplicable } from '../../src/kit/finding.js';
import type { Yield } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { conventions } from '../../src/measure/skeleton/conventions.js';

/** Why the rules about aimed frames have nothing to say of a rig; null when they have. */
export function notAimed(facts: Facts): NotApplicable | null {
  const { kind } = conventions(facts);
  if (kind === 'world-aligned') {
    return notApplicable(
      'the frames are world-aligned: over 80 % of the joints share one orientation, or the axes of 90 % are parallel to those of the world',
    );
  }
  if (kind === 'unknown') return notApplicable('no joint has a bone that it could aim along');
  return kind === 'mixed'
    ? notApplicable('the rig has no common aim axis to compare its joints with')
    : null;
}

/** A frame that is mirrored or skewed from above is off its bone for another reason, told there. */
export const MIRRORED_OR_SKEWED: readonly Yield[] = [
  { to: ['scale.shear'], on: 'joints' },
  { to: ['scale.negative'], on: 'above' },
];
