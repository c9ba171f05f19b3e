import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { keyed } from './compare-findings.js';
import type { LeftAlone } from './repair.js';

/** Places that a mend leaves alone because mending them makes something else worse. */
export class SparedPlaces {
  private readonly byKey = new Map<string, LeftAlone>();

  has(key: string): boolean {
    return this.byKey.has(key);
  }

  add(key: string, rule: string, { path }: PlaceReport, why: string): void {
    this.byKey.set(key, { rule, place: path, why });
  }

  /** The findings of a report without the places that are spared; none that has no other. */
  without(report: AssetReport): readonly FindingReport[] {
    if (this.byKey.size === 0) return report.findings;
    return keyed(report).flatMap(({ finding, keys: [key = '', ...keys] }) => {
      const places = finding.places.filter((_, at) => !this.has(keys[at] ?? ''));
      const place = this.has(key) ? places[0] : finding.place;
      return place === undefined ? [] : [{ ...finding, place, places }];
    });
  }

  /** What was left alone, each place once. */
  left(): LeftAlone[] {
    return [...this.byKey.values()];
  }
}
