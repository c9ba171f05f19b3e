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

/** What to do about a rig of the other side: nothing in it is turned or moved by mistake. */
export const OF_OTHER_SIDE =
  'This rig is the mirror image of the approved one: its joints are where those of the approved rig are in a mirror. Compare it with the approved rig of its own side, or mirror it as a whole.';

/** ` (limit 2 such joints)`: nothing where there must be none, which the words say by themselves. */
export function heldTo(limit: number, words: Words): string {
  return limit === 0 ? '' : ` (limit ${words.count(limit, 'such joint')})`;
}
