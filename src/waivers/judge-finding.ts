import { LEVELS } from '../kit/finding.js';
import { isAbout } from './is-about.js';
import { type Accepted, holdsOn, type Waiver, type WaiverText } from './ledger.js';
import { LISTED, type Subject, type SubjectPlace } from './subjects.js';
import { areMore, isCounted, isLeast, isWorse, worst } from './worse.js';

/** What the waivers of its asset and rule come to for one finding. */
export interface Judgement<W extends WaiverText = Waiver> {
  /** All that are about it, in force or not, in order. */
  readonly about: readonly W[];
  /** The first of those that let it stand; null when it does not. */
  readonly by: W | null;
  /** Why it fails though waivers in force are about it; empty where it stands or none is. */
  readonly beyond: readonly Beyond<W>[];
}

/** In what a finding is more than was accepted. */
export type Beyond<W extends WaiverText = Waiver> =
  | { readonly kind: 'places'; readonly waivers: readonly W[]; readonly paths: readonly string[] }
  | { readonly kind: 'level'; readonly waiver: W }
  | { readonly kind: 'unit'; readonly waiver: W }
  | { readonly kind: 'vertices'; readonly waiver: W }
  | { readonly kind: 'number'; readonly waiver: W; readonly accepted: number }
  | {
      readonly kind: 'also';
      readonly waiver: W;
      /** Null where nothing was accepted in this unit. */
      readonly accepted: number | null;
      readonly now: number;
      readonly unit: string;
    }
  | { readonly kind: 'rules'; readonly waiver: W; readonly rules: readonly string[] }
  | {
      readonly kind: 'measure';
      readonly waiver: W;
      /** Null for the finding as a whole. */
      readonly path: string | null;
      readonly accepted: number;
      readonly now: number;
    };

/** A waiver that says what it accepted. */
type Saying<W> = W & { readonly accepted: Accepted };

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

/** Whether a waiver that says what it accepted is about a place. */
function covers(
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

function placesBeyond<W extends WaiverText>(
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
  return !isWorse({ ...finding, measured: now }, before, least(finding));
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

/** What the finding as a whole is more than all that was accepted together. */
function wholeBeyond<W extends WaiverText>(
  subject: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const { finding } = subject;
  const [first] = saying;
  if (first === undefined) return [];
  const rank = ({ accepted }: Saying<W>): number => LEVELS.indexOf(accepted.level);
  const gravest = saying.reduce((a, b) => (rank(b) < rank(a) ? b : a), first);
  const known = new Set(saying.flatMap(({ accepted }) => accepted.insteadOf ?? []));
  const rules = (finding.insteadOf ?? []).filter((rule) => !known.has(rule));
  return [
    ...(LEVELS.indexOf(finding.level) < rank(gravest)
      ? [{ kind: 'level' as const, waiver: gravest }]
      : []),
    ...measureBeyond(subject, saying),
    ...alsoBeyond(subject, saying),
    ...verticesBeyond(subject, saying),
    ...(rules.length > 0 ? [{ kind: 'rules' as const, waiver: first, rules }] : []),
  ];
}

function measureBeyond<W extends WaiverText>(
  { finding, places, cut }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const { measured, unit } = finding;
  // Vertices are looked at with their number in all. Where places have their own measures, or are
  // counted and listed, they are held to what was accepted one by one.
  const own = places.every((place) => place.measured !== null);
  const listed = cut === null && saying.every(({ accepted }) => accepted.places !== null);
  if (measured === null || unit === 'vertices' || (listed && (own || isCounted(unit)))) return [];
  const known = saying.flatMap((waiver) => {
    const before = acceptedIn(waiver.accepted, unit);
    return before === null ? [] : [{ waiver, before }];
  });
  const [first] = known;
  if (first === undefined) return [];
  const before = known.reduce((at, item) => worst(at, item.before, least(finding)), first.before);
  if (!isWorse({ ...finding, measured }, before, least(finding))) return [];
  const { waiver } = known.find((item) => item.before === before) ?? first;
  return [{ kind: 'measure', waiver, path: null, accepted: before, now: measured }];
}

/** What else was measured, held to what was accepted in its unit. */
function alsoBeyond<W extends WaiverText>(
  { finding: { also = [] } }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const [first] = saying;
  if (first === undefined) return [];
  return also.flatMap(({ measured, unit }): Beyond<W>[] => {
    const before = saying.flatMap(({ accepted }) => acceptedIn(accepted, unit) ?? []);
    const most = before.length === 0 ? null : Math.max(...before);
    if (most !== null && !isWorse({ measured, limit: null, unit }, most)) return [];
    return [{ kind: 'also', waiver: first, accepted: most, now: measured, unit }];
  });
}

/** The worst that was accepted in a unit; null for none. */
function acceptedIn(accepted: Accepted, unit: string): number | null {
  return unit === accepted.unit ? accepted.measured : (accepted.also?.get(unit) ?? null);
}

function verticesBeyond<W extends WaiverText>(
  { vertices }: Subject,
  saying: readonly Saying<W>[],
): Beyond<W>[] {
  const known = saying.flatMap((waiver) => {
    const before = waiver.accepted.vertices;
    return before === undefined ? [] : [{ waiver, before }];
  });
  const [first] = known;
  if (vertices === null || first === undefined) return [];
  // What was accepted apart and is told as one now adds up.
  const short = known.reduce((sum, { before }) => sum + before.short, 0);
  const of = Math.max(...known.map(({ before }) => before.of));
  return areMore(vertices, { short, of }) ? [{ kind: 'vertices', waiver: first.waiver }] : [];
}

function least({ measured, limit }: Subject['finding']): boolean {
  return measured !== null && isLeast({ measured, limit });
}
