import type { Beyond, Saying } from './beyond.js';
import { isAbout } from './is-about.js';
import { holdsOn, type Waiver, type WaiverText } from './ledger.js';
import { covers, placesBeyond } from './places-beyond.js';
import type { Subject } from './subjects.js';
import { wholeBeyond } from './whole-beyond.js';

/** What the waivers of its asset and rule come to for one finding. */
export interface Judgement<W extends WaiverText = Waiver> {
  /** All that are about it, in force or not, in order. */
  readonly about: readonly W[];
  /** The first of those that let it stand; null when it does not. */
  readonly by: W | null;
  /** Why it fails though waivers in force are about it; empty where it stands or none is. */
  readonly beyond: readonly Beyond<W>[];
}

/**
 * Holds a finding to waivers. It stands where waivers in force cover every place of it, no place and
 * not the whole being worse than they accepted; several may do so together. A waiver that does not say
 * what it accepted lets stand whatever it is about.
 */
export function judgeFinding<W extends WaiverText>(
  subject: Subject,
  waivers: readonly W[],
  today: string,
): Judgement<W> {
  const about = waivers.filter((waiver) => isAboutSubject(waiver, subject));
  const holding = about.filter((waiver) => holdsOn(waiver, today));
  const plain = holding.find(({ accepted }) => accepted === undefined);
  if (plain !== undefined) return { about, by: plain, beyond: [] };
  const saying = holding.filter((waiver): waiver is Saying<W> => waiver.accepted !== undefined);
  // Lists alone are held to their lists; with a pattern among them the whole is looked at too.
  const listing = saying.filter(({ accepted }) => accepted.places !== null);
  const kinds =
    listing.length === 0 || listing.length === saying.length ? [saying] : [listing, saying];
  let beyond: Beyond<W>[] = [];
  for (const [first, ...others] of kinds) {
    if (first === undefined) continue;
    beyond = [
      ...placesBeyond(subject, [first, ...others]),
      ...wholeBeyond(subject, [first, ...others]),
    ];
    if (beyond.length === 0) return { about, by: first, beyond };
  }
  return { about, by: null, beyond };
}

/** Whether a waiver speaks of a finding, be it of one place of many. */
export function isAboutSubject(
  { rule, rig, aspect, joint, accepted }: WaiverText,
  subject: Subject,
): boolean {
  const { finding } = subject;
  if (rule !== finding.rule) return false;
  if (rig !== undefined && subject.rig !== null && rig !== subject.rig) return false;
  if (aspect !== undefined && aspect !== finding.aspect) return false;
  if (accepted === undefined) return isAbout(joint, finding.place);
  return subject.places.some((place) => covers(accepted, joint, place, subject));
}
