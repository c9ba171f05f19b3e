import { LEVELS } from '../kit/finding.js';
import type { Accepted, Waiver } from './ledger.js';
import { isAbout } from './place-key.js';
import { LISTED, type Subject, type SubjectPlace } from './subjects.js';
import { acceptedIn, areMore, isCounted, isWorse, smallerIsWorse, worst } from './worse.js';

/** How a finding exceeds what was accepted. */
export type Beyond =
  | { readonly kind: 'places'; readonly waivers: readonly Waiver[]; readonly paths: string[] }
  | { readonly kind: 'level' | 'unit' | 'vertices'; readonly waiver: Waiver }
  | { readonly kind: 'number'; readonly waiver: Waiver; readonly accepted: number }
  | {
      readonly kind: 'also';
      readonly waiver: Waiver;
      /** Null where nothing was accepted in this unit. */
      readonly accepted: number | null;
      readonly now: number;
      readonly unit: string;
    }
  | { readonly kind: 'rules'; readonly waiver: Waiver; readonly rules: readonly string[] }
  | {
      readonly kind: 'measure';
      readonly waiver: Waiver;
      /** Null for the finding as a whole. */
      readonly path: string | null;
      readonly accepted: number;
      readonly now: number;
    };

/** A waiver that says how much it accepts. */
export type BoundedWaiver = Waiver & { readonly accepted: Accepted };
type SomeWaivers = readonly [BoundedWaiver, ...BoundedWaiver[]];

/** Whether a waiver that says how much it accepts is about a place. */
export function covers(
  { places }: Accepted,
  joint: string | null,
  place: SubjectPlace,
  { finding, places: all }: Subject,
): boolean {
  if (places === null) return isAbout(joint, place);
  if (places.has(place.key)) return true;
  // Places too many to be listed were accepted as a number at the anchor: fewer are listed again.
  const [only] = places;
  if (only === undefined || places.size > 1 || (only[1] ?? 0) < LISTED) return false;
  const { kind, path } = finding.anchor;
  return (only[0] === `${kind}:${path}` || only[0] === path) && all.length <= (only[1] ?? 0);
}

/** How a finding exceeds what some waivers accept together, at single places and as a whole. */
export function beyondOf(subject: Subject, waivers: SomeWaivers): Beyond[] {
  const { finding, vertices } = subject;
  const [first] = waivers;
  const rank = ({ accepted }: BoundedWaiver): number => LEVELS.indexOf(accepted.level);
  const gravest = waivers.reduce((a, b) => (rank(b) < rank(a) ? b : a));
  const acceptedRules = new Set(waivers.flatMap(({ accepted }) => accepted.insteadOf ?? []));
  const rules = (finding.insteadOf ?? []).filter((rule) => !acceptedRules.has(rule));
  const isGraver = LEVELS.indexOf(finding.level) < rank(gravest);
  return [
    ...placesBeyond(subject, waivers),
    ...(isGraver ? [{ kind: 'level' as const, waiver: gravest }] : []),
    ...measureBeyond(subject, waivers),
    ...alsoBeyond(subject, waivers),
    ...verticesBeyond(vertices, waivers),
    ...(rules.length > 0 ? [{ kind: 'rules' as const, waiver: first, rules }] : []),
  ];
}

/** The places of a finding that no waiver lists, and those where it is worse than was accepted. */
function placesBeyond(subject: Subject, waivers: SomeWaivers): Beyond[] {
  const paths: string[] = [];
  const beyond: Beyond[] = [];
  for (const place of subject.places) {
    const covering = waivers.filter(({ accepted, joint }) =>
      covers(accepted, joint, place, subject),
    );
    if (covering.length === 0) paths.push(place.path);
    const excesses = covering.map((waiver) => excessAt(waiver, place, subject));
    const [excess] = excesses.includes(null) ? [] : excesses;
    if (excess != null) beyond.push(excess);
  }
  return paths.length === 0 ? beyond : [{ kind: 'places', waivers, paths }, ...beyond];
}

/** How a finding exceeds what a waiver accepts at a place; null where it does not. */
function excessAt(waiver: BoundedWaiver, place: SubjectPlace, subject: Subject): Beyond | null {
  const { finding, vertices, cut, places } = subject;
  const { accepted } = waiver;
  const { unit, measured } = finding;
  const inUnit = acceptedIn(accepted, unit);
  if (accepted.unit !== unit && inUnit === null) return { kind: 'unit', waiver };
  const listed = accepted.places?.get(place.key) ?? null;
  if (cut !== null)
    return listed === null || cut <= listed ? null : { kind: 'number', waiver, accepted: listed };
  // A count over several places says nothing of one of them.
  const whole = places.length > 1 && isCounted(unit) ? null : measured;
  const now = place.measured ?? whole;
  // A part of a fault that was measured in several units may be mended.
  const before = unit === accepted.unit ? (listed ?? inUnit) : inUnit;
  if (now === null || before === null) return null;
  const isMore =
    unit === 'vertices' && vertices !== null && accepted.vertices !== undefined
      ? areMore({ short: now, of: vertices.of }, { short: before, of: accepted.vertices.of })
      : isWorse({ ...finding, measured: now }, before, smallerIsWorse(finding));
  if (!isMore) return null;
  const path = places.length > 1 ? place.path : null;
  return { kind: 'measure', waiver, path, accepted: before, now };
}

function measureBeyond({ finding, places, cut }: Subject, waivers: SomeWaivers): Beyond[] {
  const { measured, unit } = finding;
  // Vertices are judged together with their total. Where places have their own measures, or are
  // counted and listed, they are held to what was accepted one by one.
  const isByPlace = isCounted(unit) || places.every((place) => place.measured !== null);
  const isListed = cut === null && waivers.every(({ accepted }) => accepted.places !== null);
  if (measured === null || unit === 'vertices' || (isListed && isByPlace)) return [];
  const bounds = waivers.flatMap((waiver) => {
    const before = acceptedIn(waiver.accepted, unit);
    return before === null ? [] : [{ waiver, before }];
  });
  if (bounds.length === 0) return [];
  const least = smallerIsWorse(finding);
  const { waiver, before } = bounds.reduce((a, b) =>
    worst(a.before, b.before, least) === a.before ? a : b,
  );
  if (!isWorse({ ...finding, measured }, before, least)) return [];
  return [{ kind: 'measure', waiver, path: null, accepted: before, now: measured }];
}

/** What else was measured, held to what was accepted in its unit. */
function alsoBeyond({ finding: { also = [] } }: Subject, waivers: SomeWaivers): Beyond[] {
  return also.flatMap(({ measured, unit }): Beyond[] => {
    const before = waivers.flatMap(({ accepted }) => acceptedIn(accepted, unit) ?? []);
    const most = before.length === 0 ? null : Math.max(...before);
    if (most !== null && !isWorse({ measured, limit: null, unit }, most)) return [];
    return [{ kind: 'also', waiver: waivers[0], accepted: most, now: measured, unit }];
  });
}

function verticesBeyond(vertices: Subject['vertices'], waivers: SomeWaivers): Beyond[] {
  const counting = waivers.filter(({ accepted }) => accepted.vertices !== undefined);
  const [first] = counting;
  if (vertices === null || first === undefined) return [];
  const counts = counting.flatMap(({ accepted }) => accepted.vertices ?? []);
  // What was accepted apart and is now reported as one adds up.
  const short = counts.reduce((sum, count) => sum + count.short, 0);
  const of = Math.max(...counts.map((count) => count.of));
  return areMore(vertices, { short, of }) ? [{ kind: 'vertices', waiver: first }] : [];
}
