import type { FindingReport, PlaceReport } from '../report/report-types.js';

/** One place that a finding lists. */
export interface FoundPlace {
  readonly rule: string;
  /** Index of the rig. */
  readonly rig: number | null;
  readonly place: PlaceReport;
}

/** All places of findings, in order: one finding can list many. */
export function foundPlaces(findings: readonly FindingReport[]): FoundPlace[] {
  return findings.flatMap(({ rule, rig, places }) => places.map((place) => ({ rule, rig, place })));
}
