import { acceptedIn, leastOf } from './accepted-in.js';
import type { Beyond, Saying } from './beyond.js';
import { isAbout } from './is-about.js';
import type { Accepted, WaiverText } from './ledger.js';
import { LISTED, type Subject, type SubjectPlace } from './subjects.js';
import { areMore, isCounted, isWorse } from './worse.js';

/** Whether a waiver that says what it accepted is about a place. */
export function covers(
  { places }: Accepted,
  joint: string | null,
  place: SubjectPlace,
  { finding, places: all }: Subject,
): boolean {
  if (places === null) return isAbout(joint, place);
  if (places.has(place.key)) return true;
  // What was too many to be listed was accepted as a number at its anchor: fewer are listed again.
  const [only] = places;
  if (only === undefined || places.size > 1 || (only[1] ?? 0) < LISTED) return false;
  const { kind, path } = finding.anchor;
  return (only[0] === `${kind}:${path}` || only[0] === path) && all.length <= (only[1] ?? 0);
}

/** The places of a finding that no waiver lists, and those where it is worse than was accepted. */
export function placesBeyond<W extends WaiverText>(
  subject: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const unlisted: string[] = [];
  const beyond: Beyond<W>[] = [];
  for (const place of subject.places) {
    const covering = saying.filter(({ accepted, joint }) =>
      covers(accepted, joint, place, subject),
    );
    if (covering.length === 0) unlisted.push(place.path);
    else if (!covering.some(({ accepted }) => accepts(accepted, place, subject))) {
      const [more] = covering.flatMap((waiver) => moreAt(waiver, place, subject));
      if (more !== undefined) beyond.push(more);
    }
  }
  return unlisted.length === 0
    ? beyond
    : [{ kind: 'places', waivers: saying, paths: unlisted }, ...beyond];
}

/** What a place measures now, and what was accepted there; null where there is nothing to compare. */
function comparedAt(
  accepted: Accepted,
  place: SubjectPlace,
  { finding, places, cut }: Subject,
): { readonly now: number; readonly before: number } | null {
  const { unit, measured } = finding;
  const listed = accepted.places?.get(place.key) ?? null;
  if (cut !== null) return listed === null ? null : { now: cut, before: listed };
  // A count over several places says nothing of one of them.
  const whole = places.length > 1 && isCounted(unit) ? null : measured;
  const now = place.measured ?? whole;
  // A part of a fault that was measured in several units may be mended.
  const before =
    unit === accepted.unit ? (listed ?? accepted.measured) : acceptedIn(accepted, unit);
  return now === null || before === null ? null : { now, before };
}

function accepts(accepted: Accepted, place: SubjectPlace, subject: Subject): boolean {
  const { finding, vertices, cut } = subject;
  if (accepted.unit !== finding.unit && acceptedIn(accepted, finding.unit) === null) return false;
  const compared = comparedAt(accepted, place, subject);
  if (compared === null) return true;
  const { now, before } = compared;
  if (cut !== null) return now <= before;
  if (finding.unit === 'vertices' && vertices !== null && accepted.vertices !== undefined)
    return !areMore({ short: now, of: vertices.of }, { short: before, of: accepted.vertices.of });
  return !isWorse({ ...finding, measured: now }, before, leastOf({ finding }));
}

function moreAt<W extends WaiverText>(
  waiver: Saying<W>,
  place: SubjectPlace,
  subject: Subject,
): Beyond<W>[] {
  const { unit } = subject.finding;
  if (waiver.accepted.unit !== unit && acceptedIn(waiver.accepted, unit) === null)
    return [{ kind: 'unit', waiver }];
  const compared = comparedAt(waiver.accepted, place, subject);
  if (compared === null) return [];
  if (subject.cut !== null) return [{ kind: 'number', waiver, accepted: compared.before }];
  const path = subject.places.length > 1 ? place.path : null;
  return [{ kind: 'measure', waiver, path, accepted: compared.before, now: compared.now }];
}
