import { notApplicable } from '../../src/kit/finding.js';
import { type Words, wordsFor } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { matching } from '../../src/measure/fit/matching.js';

/** What rules about fitting say where there is nothing to compare a rig with. */
export function whyNotCompared(facts: Facts) {
  const match = matching(facts);
  if (match === null) return notApplicable('the approved asset has no rig for this one');
  return match.by.every((way) => way === null)
    ? notApplicable('the rig has no joint of the approved rig')
    : null;
}

/** The names of the approved rig's joints, as messages give them. */
export function approvedNames({ approved, rig }: Facts): Pick<Words, 'joint' | 'joints'> {
  // Only lengths need a size and a unit.
  return wordsFor(approved?.rig ?? rig, 0, '');
}

/** `; "a", "b" are off by less`: how a message about the worst joint goes on to others of its habit. */
export function lessOf(others: readonly { readonly joint: number }[], words: Words): string {
  const joints = others.map(({ joint }) => joint);
  return `; ${words.joints(joints)} ${joints.length === 1 ? 'is' : 'are'} off by less`;
}
