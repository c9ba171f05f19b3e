import { countLevels } from '../check/verdict.js';
import { assetSchema } from '../report/report-schema.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { type SchemaTest, schemaTest } from '../report/schema-test.js';

let test: SchemaTest | null = null;

/**
 * Whether a value is a report that may have been kept: of an asset that was read, in the form of the
 * schema, with no index that leads nowhere and counts that are those of its findings. Anybody can write
 * a file with a fitting digest, and what reads a report afterwards trusts it.
 */
export function isKeptReport(value: unknown): value is AssetReport {
  test ??= schemaTest(assetSchema);
  if (!test(value)) return false;
  // The schema describes this type: a test holds them to each other.
  const report = value as AssetReport;
  return (
    report.unreadable === null &&
    report.container !== null &&
    report.verdict !== 'unreadable' &&
    (report.verdict === 'sound' || report.findings.length > 0) &&
    report.rigs.every(isRig) &&
    report.findings.every((finding) => isFinding(finding, report)) &&
    sameCounts(report)
  );
}

/** Joints stand after their parents. */
function isRig({ joints, bodyRoot, bends }: AssetReport['rigs'][number]): boolean {
  return (
    joints.every(({ parent }, at) => parent < at) &&
    (bodyRoot === null || bodyRoot < joints.length) &&
    (bends ?? []).every(({ joint }) => joint < joints.length)
  );
}

function isFinding({ rig, place, places, waived }: FindingReport, report: AssetReport): boolean {
  const joints = rig === null ? 0 : report.rigs[rig]?.joints.length;
  const isPlace = ({ joint }: PlaceReport): boolean => joint === null || joint < (joints ?? 0);
  // Waivers are put on a report when it is given out.
  return joints !== undefined && waived === undefined && [place, ...places].every(isPlace);
}

function sameCounts({ findings, counts }: AssetReport): boolean {
  const { error, warning, note } = countLevels(findings);
  return counts.error === error && counts.warning === warning && counts.note === note;
}
