import type { Level } from '../kit/finding.js';
import { shortened } from '../report/finding-words.js';
import { pathOf } from '../report/places.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { keyed, rank, steppedBack } from './compare-findings.js';

/** One place where a mend made matters worse. */
export interface Harm {
  readonly finding: FindingReport;
  /** Where: a place that the same rule found nothing at, or that of a finding with a severer level. */
  readonly place: PlaceReport;
  /** The level before; null where there was no finding. */
  readonly from: Level | null;
}

/**
 * All that is worse than before, by keys that are the same in each report of one mend: findings and places
 * of findings that are new, and findings with a severer level. A verdict cannot turn without one of these.
 */
export function harmsOf(before: AssetReport, after: AssetReport): Map<string, Harm> {
  const levels = new Map<string, Level>();
  for (const { finding, keys } of keyed(before))
    for (const key of keys) {
      const known = levels.get(key);
      if (known === undefined || rank(finding.level) < rank(known)) levels.set(key, finding.level);
    }
  const harms = new Map<string, Harm>();
  const stepped = steppedBack(before);
  for (const { finding, keys } of keyed(after)) {
    // What is waived is accepted already.
    if (finding.waived !== undefined) continue;
    const known = keys.flatMap((key) => levels.get(key) ?? []);
    const through = known.length === 0 ? stepped(after, finding) : undefined;
    if (through !== undefined && rank(finding.level) >= rank(through)) continue;
    const from = known.sort((a, b) => rank(a) - rank(b))[0] ?? null;
    const isRisen = from !== null && rank(finding.level) < rank(from);
    const places = [finding.place, ...finding.places];
    for (const [at, key] of keys.entries()) {
      const place = places[at];
      if (place === undefined) continue;
      if (!levels.has(key)) harms.set(key, { finding, place, from: null });
      else if (isRisen && at === 0) harms.set(key, { finding, place, from });
    }
  }
  return harms;
}

/** What a mend would bring about, as the end of a sentence that begins with "a mend of it would". */
export function harmWords({ finding, place, from }: Harm): string {
  const where = shortened(pathOf(place), 120);
  return from === null
    ? `bring up ${finding.rule} (${finding.level}) at ${where}`
    : `raise ${finding.rule} at ${where} from ${from} to ${finding.level}`;
}
