import { LEVELS } from '../kit/finding.js';
import { leastOf } from './accepted-in.js';
import type { Accepted, WaiverText } from './ledger.js';
import type { Subject } from './subjects.js';
import { ledgerNumber, worst } from './worse.js';

/** What a waiver says of the finding it is written for: who, why and until when come from people. */
export type Acceptance = Pick<WaiverText, 'rule' | 'rig' | 'aspect' | 'joint'> & {
  readonly accepted: Accepted;
};

/**
 * A finding as it is accepted: its places and how bad it is.
 *
 * @param only Path of the one place that is accepted; null for all of them.
 */
export function acceptance(subject: Subject, only: string | null = null): Acceptance {
  const { finding, rig, amongRigs, cut } = subject;
  const { rule, aspect, level, measured, unit, insteadOf } = finding;
  const least = leastOf(subject);
  const places = subject.places.filter(({ path }) => only === null || path === only);
  const own = places.flatMap((place) => (place.measured === null ? [] : [place.measured]));
  const narrowed = only !== null && cut === null && own.length > 0;
  const whole = narrowed ? own.reduce((a, b) => worst(a, b, least)) : measured;
  const vertices =
    subject.vertices !== null && narrowed && unit === 'vertices' && whole !== null
      ? { ...subject.vertices, short: whole }
      : subject.vertices;
  return {
    rule,
    ...(rig !== null && amongRigs && { rig }),
    joint: null,
    ...(aspect !== null && { aspect }),
    accepted: {
      level,
      measured: whole === null ? null : ledgerNumber(whole, least),
      unit,
      ...alsoOf(subject),
      ...(vertices !== null && { vertices }),
      ...(insteadOf !== undefined && { insteadOf }),
      places: new Map(
        places.map((place) => [
          place.key,
          place.measured === null ? null : ledgerNumber(place.measured, least),
        ]),
      ),
    },
  };
}

/** The worst of several findings of a rule, at any place, for a pattern of assets: one for each unit. */
export function acceptanceOfAny(subjects: readonly Subject[], joint: string | null): Acceptance[] {
  const units = new Map<string, Acceptance>();
  for (const subject of subjects) {
    const { rule, unit, level, measured, insteadOf } = subject.finding;
    const { vertices } = subject;
    const least = leastOf(subject);
    const one: Acceptance = {
      rule,
      joint,
      accepted: {
        level,
        measured: measured === null ? null : ledgerNumber(measured, least),
        unit,
        ...alsoOf(subject),
        ...(vertices !== null && { vertices }),
        ...(insteadOf !== undefined && { insteadOf }),
        places: null,
      },
    };
    const known = units.get(unit);
    const accepted =
      known === undefined ? one.accepted : worstOf(known.accepted, one.accepted, least);
    units.set(unit, { ...one, accepted });
  }
  return [...units.values()];
}

/** What covers both of two findings of one unit, whatever their places. */
export function worstOf(a: Accepted, b: Accepted, least: boolean): Accepted {
  const [level = a.level] = LEVELS.filter((each) => each === a.level || each === b.level);
  const vertices = [a.vertices, b.vertices]
    .flatMap((item) => (item === undefined ? [] : [item]))
    .sort((one, other) => other.short / (other.of || 1) - one.short / (one.of || 1))[0];
  const insteadOf = [...new Set([...(a.insteadOf ?? []), ...(b.insteadOf ?? [])])].sort();
  const also = new Map(a.also);
  for (const [unit, measured] of b.also ?? [])
    also.set(unit, Math.max(measured, also.get(unit) ?? measured));
  return {
    level,
    measured:
      a.measured === null || b.measured === null
        ? (a.measured ?? b.measured)
        : worst(a.measured, b.measured, least),
    unit: b.unit,
    ...(also.size > 0 && { also }),
    ...(vertices !== undefined && { vertices }),
    ...(insteadOf.length > 0 && { insteadOf }),
    places: null,
  };
}

function alsoOf({ finding: { also = [] } }: Subject): Pick<Accepted, 'also'> {
  if (also.length === 0) return {};
  return { also: new Map(also.map(({ measured, unit }) => [unit, ledgerNumber(measured, false)])) };
}
