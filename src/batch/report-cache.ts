import { lstatSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { sha256 } from '../asset/crypto.js';
import { UsageError } from '../asset/errors.js';
import { makeFolderAt } from '../asset/make-folder.js';
import { countLevels, verdictWithoutFault } from '../check/verdict.js';
import { assetSchema } from '../report/report-schema.js';
import type { AssetReport, FindingReport, PlaceReport, RigReport } from '../report/report-types.js';
import { type SchemaTest, schemaTest } from '../report/schema-test.js';
import { version } from '../report/version.js';
import type { ContentKey } from './file-stamps.js';
import { sameNumbers } from './judged-anew.js';
import { putFile } from './part-file.js';

/** Where a cache is, and for which settings. */
export interface CachePlace {
  readonly folder: string;
  /** Digest of the settings. */
  readonly settings: string;
}

/** Throws UsageError when the folder cannot be made; `shown` is its name to the user. */
export function makeCacheFolder(folder: string, shown: string): void {
  try {
    makeFolderAt(folder);
  } catch (error) {
    throw new UsageError(
      `the cache folder ${shown} cannot be made: ${whyNot(folder) ?? explain(error)}; name another folder`,
    );
  }
}

function whyNot(folder: string): string | null {
  try {
    const stats = lstatSync(folder);
    if (stats.isSymbolicLink()) return 'it is a link that leads to no folder';
    return stats.isFile() ? 'it is a file' : null;
  } catch {
    return null;
  }
}

/** Bytes of an entry: far above what the limit on a report's letters lets through. */
const LONGEST_ENTRY = 1 << 28;

/**
 * Reports kept by what they depend on: the asset's bytes, the settings and the version of the tool.
 * Entries are written beside their place and moved onto it, so that runs at the same time share one
 * folder. An entry that is damaged in any way counts as none.
 */
export class ReportCache {
  constructor(private readonly place: CachePlace) {}

  /** The report of this content, with the path `name` and, if wanted, the hash; null for none. */
  get(content: ContentKey, name: string, hash: boolean): AssetReport | null {
    const { key, path } = this.entryOf(content);
    try {
      // A pipe or device would never end, and no report is so long.
      const stats = statSync(path);
      if (!stats.isFile() || stats.size > LONGEST_ENTRY) return null;
      const text = readFileSync(path, 'utf8');
      const end = text.indexOf('\n');
      const body = text.slice(end + 1);
      // The digest shows damage, and an entry that was put in the place of another.
      if (end === -1 || text.slice(0, end) !== hashOf(`${key}\n${body}`)) return null;
      const report: unknown = JSON.parse(body);
      if (!isKeptReport(report)) return null;
      const sha256 = hash ? content.file : null;
      return {
        ...report,
        path: name,
        container: report.container && { ...report.container, sha256 },
      };
    } catch {
      // There is none, or it is no JSON.
      return null;
    }
  }

  /** Keeps a report. Gives back why it cannot be kept; null when it is. */
  put(content: ContentKey, report: AssetReport): string | null {
    const { key, path } = this.entryOf(content);
    const body = JSON.stringify({ ...report, path: '' });
    try {
      makeFolderAt(dirname(path));
      putFile(path, `${hashOf(`${key}\n${body}`)}\n${body}`);
      return null;
    } catch (error) {
      return explain(error);
    }
  }

  private entryOf({ all }: ContentKey): { key: string; path: string } {
    const { folder, settings } = this.place;
    const key = hashOf(`${FORMAT} ${version} ${settings} ${all}`);
    return { key, path: join(folder, key.slice(0, 2), `${key.slice(2)}.json`) };
  }
}

/** Goes up when what is kept changes its form. */
const FORMAT = 'trysquare-cache 4';

function hashOf(text: string): string {
  return sha256().update(text).digest('hex');
}

let test: SchemaTest | null = null;

/**
 * Whether a value is a report that may have been kept: of an asset that was read, in the form of the
 * schema, with no index that leads nowhere and counts that are those of its findings. Anybody can write
 * a file with a fitting digest, and what reads a report afterwards trusts it.
 */
function isKeptReport(value: unknown): value is AssetReport {
  test ??= schemaTest(assetSchema);
  if (!test(value)) return false;
  // The schema describes this type: a test compares the two.
  const report = value as AssetReport;
  const { verdict, findings, rigs, counts } = report;
  return (
    report.unreadable === null &&
    report.container !== null &&
    (verdict === 'unsound' ? findings.length > 0 : verdict === verdictWithoutFault(report)) &&
    rigs.every(isRig) &&
    findings.every((finding) => isFinding(finding, report)) &&
    sameNumbers(counts, countLevels(findings))
  );
}

/** Joints come after their parents. */
function isRig({ joints, bodyRoot, bends, clipList = [] }: RigReport): boolean {
  const isJointOrNone = (joint: number | null): boolean => joint === null || joint < joints.length;
  return (
    joints.every(({ parent }, at) => parent < at) &&
    joints.every(({ transforms }) => isJointOrNone(transforms?.frame.aimJoint ?? null)) &&
    isJointOrNone(bodyRoot) &&
    (bends ?? []).every(({ joint }) => joint < joints.length) &&
    clipList.every(({ channels }) => channels.every(({ joint }) => isJointOrNone(joint)))
  );
}

function isFinding({ rig, place, places, waived }: FindingReport, report: AssetReport): boolean {
  const joints = rig === null ? 0 : report.rigs[rig]?.joints.length;
  const isPlace = ({ joint }: PlaceReport): boolean => joint === null || joint < (joints ?? 0);
  // Waivers are put on a report when it is given out.
  return joints !== undefined && waived === undefined && [place, ...places].every(isPlace);
}
