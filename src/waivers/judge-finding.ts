import { type Beyond, type BoundedWaiver, beyondOf, covers } from './beyond.js';
import { holdsOn, type Waiver } from './ledger.js';
import { isAbout } from './place-key.js';
import type { Subject } from './subjects.js';

/** What the waivers for its asset and rule decide about one finding. */
export interface Judgement {
  /** All that are about it, in force or not, in order. */
  readonly about: readonly Waiver[];
  /** The first of those that let it stand; null when it does not. */
  readonly by: Waiver | null;
  /** Why it fails though waivers in force are about it; empty where it stands or there are none. */
  readonly beyond: readonly Beyond[];
}

/**
 * Holds a finding to waivers. It stands where waivers in force cover every place of it, no place and
 * not the whole being worse than they accepted; several may do so together. A waiver that does not say
 * how much it accepts lets stand whatever it is about.
 */
export function judgeFinding(
  subject: Subject,
  waivers: readonly Waiver[],
  today: string,
): Judgement {
  const about = waivers.filter((waiver) => isAboutSubject(waiver, subject));
  const inForce = about.filter((waiver) => holdsOn(waiver, today));
  const plain = inForce.find(({ accepted }) => accepted === undefined);
  if (plain !== undefined) return { about, by: plain, beyond: [] };
  const bounded = inForce.filter(
    (waiver): waiver is BoundedWaiver => waiver.accepted !== undefined,
  );
  // Waivers that list places are tried alone first; with a pattern the finding is judged as a whole too.
  const lists = bounded.filter(({ accepted }) => accepted.places !== null);
  const attempts = lists.length === bounded.length ? [bounded] : [lists, bounded];
  let beyond: Beyond[] = [];
  for (const [first, ...others] of attempts) {
    if (first === undefined) continue;
    beyond = beyondOf(subject, [first, ...others]);
    if (beyond.length === 0) return { about, by: first, beyond };
  }
  return { about, by: null, beyond };
}

/** Whether a waiver is about a finding, be it about one place of many. */
export function isAboutSubject(
  { rule, rig, aspect, joint, accepted }: Waiver,
  subject: Subject,
): boolean {
  const { finding } = subject;
  if (rule !== finding.rule) return false;
  if (rig !== undefined && subject.rig !== null && rig !== subject.rig) return false;
  if (aspect !== undefined && aspect !== finding.aspect) return false;
  if (accepted === undefined) return isAbout(joint, finding.place);
  return subject.places.some((place) => covers(accepted, joint, place, subject));
}
