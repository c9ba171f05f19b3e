import { LEVELS } from '../kit/finding.js';
import type { Accepted, Vertices, WaiverText } from './ledger.js';
import type { Subject } from './subjects.js';
import { ledgerNumber, smallerIsWorse, worst } from './worse.js';

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
  const { finding, rig, amongRigs, cut, vertices } = subject;
  const { rule, aspect, unit } = finding;
  const least = smallerIsWorse(finding);
  const places = subject.places.filter(({ path }) => only === null || path === only);
  const measures = places.flatMap(({ measured }) => measured ?? []);
  const isNarrowed = only !== null && cut === null && measures.length > 0;
  const measured = isNarrowed ? measures.reduce((a, b) => worst(a, b, least)) : finding.measured;
  const narrowed =
    vertices !== null && isNarrowed && unit === 'vertices' && measured !== null
      ? { ...vertices, short: measured }
      : vertices;
  return {
    rule,
    ...(rig !== null && amongRigs && { rig }),
    joint: null,
    ...(aspect !== null && { aspect }),
    accepted: {
      ...acceptedAnywhere({ finding: { ...finding, measured }, vertices: narrowed }, least),
      places: new Map(
        places.map((place) => [
          place.key,
          place.measured === null ? null : ledgerNumber(place.measured, least),
        ]),
      ),
    },
  };
}

/** How bad a finding is, whatever its places. */
function acceptedAnywhere(
  { finding, vertices }: Pick<Subject, 'finding' | 'vertices'>,
  least: boolean,
): Accepted {
  const { level, measured, unit, also = [], insteadOf } = finding;
  const others = new Map(also.map((other) => [other.unit, ledgerNumber(other.measured, false)]));
  return {
    level,
    measured: measured === null ? null : ledgerNumber(measured, least),
    unit,
    ...(others.size > 0 && { also: others }),
    ...(vertices !== null && { vertices }),
    ...(insteadOf !== undefined && { insteadOf }),
    places: null,
  };
}

/** The worst of several findings of a rule, at any place, for a pattern of assets: one for each unit. */
export function acceptanceOfAny(subjects: readonly Subject[], joint: string | null): Acceptance[] {
  const byUnit = new Map<string, Acceptance>();
  for (const subject of subjects) {
    const { rule, unit } = subject.finding;
    const least = smallerIsWorse(subject.finding);
    const accepted = acceptedAnywhere(subject, least);
    const earlier = byUnit.get(unit);
    const both = earlier === undefined ? accepted : worstOf(earlier.accepted, accepted, least);
    byUnit.set(unit, { rule, joint, accepted: both });
  }
  return [...byUnit.values()];
}

/** What covers both of two findings of one unit, whatever their places. */
export function worstOf(a: Accepted, b: Accepted, least: boolean): Accepted {
  const [level = a.level] = LEVELS.filter((each) => each === a.level || each === b.level);
  const share = ({ short, of }: Vertices): number => short / (of || 1);
  const [vertices] = [a.vertices ?? [], b.vertices ?? []]
    .flat()
    .sort((x, y) => share(y) - share(x));
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
