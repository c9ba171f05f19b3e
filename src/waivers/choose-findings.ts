import { resolve } from 'node:path';
import { UsageError } from '../asset/errors.js';
import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import type { AssetReport, FindingReport, Report } from '../report/report-types.js';
import { didYouMean } from '../standard/nearest.js';
import { isAbout } from './apply-ledger.js';
import { assetPattern, fits, partsOfPath } from './asset-pattern.js';
import { PatternFault } from './name-pattern.js';
import { slashes } from './slashes.js';

/** Which findings of a report to waive; what is left out picks none out. */
export interface Wanted {
  readonly rule?: string | undefined;
  /** A path as in the report, or a pattern of such. */
  readonly asset?: string | undefined;
  readonly joint?: string | undefined;
  /** Findings at this level or above; null for all. */
  readonly level: Level | 'never' | null;
}

export interface Chosen {
  readonly asset: string;
  readonly finding: FindingReport;
}

/**
 * The findings of a report that are wanted, in its order. Throws UsageError that says what could
 * have been meant when there are none.
 *
 * @param cwd Folder that the paths of the report are relative to.
 */
export function chooseFindings(report: Report, wanted: Wanted, cwd: string): Chosen[] {
  const { rule, asset, joint, level } = wanted;
  const assets = chooseAssets(report, asset, cwd);
  const inAssets = assets.flatMap(({ path, findings }) =>
    findings.map((finding): Chosen => ({ asset: path, finding })),
  );
  const where = asset === undefined ? 'the report' : asset;
  if (inAssets.length === 0) throw new UsageError(`there is no finding in ${where} to waive`);
  const ofRule = inAssets.filter(({ finding }) => rule === undefined || finding.rule === rule);
  if (ofRule.length === 0) {
    const others = some(inAssets.map(({ finding }) => finding.rule));
    throw new UsageError(`${rule} has no finding in ${where}; there are some of: ${others}`);
  }
  const atJoint = ofRule.filter(({ finding }) => isAbout(joint ?? null, finding.place));
  if (atJoint.length === 0) {
    const paths = ofRule.map(({ finding }) => finding.place.path).filter((path) => path !== '');
    throw new UsageError(
      `${rule ?? 'no rule'} has ${rule === undefined ? 'a' : 'no'} finding at "${joint}" in ${where}.${didYouMean(joint ?? '', paths)} It has some at: ${some(paths)}`,
    );
  }
  if (level === null) return atJoint;
  const high = atJoint.filter(({ finding }) => isFailing(finding.level, level));
  if (high.length === 0) {
    const counts = LEVELS.flatMap((each) => {
      const count = atJoint.filter(({ finding }) => finding.level === each).length;
      return count === 0 ? [] : [`${count} at level ${each}`];
    });
    throw new UsageError(
      `${where} has no finding at ${level} or above; it has ${counts.join(', ')}: choose with --level`,
    );
  }
  return high;
}

/** The assets whose path is the one given, else those that fit it as a pattern. */
function chooseAssets(
  { assets }: Report,
  wanted: string | undefined,
  cwd: string,
): readonly AssetReport[] {
  // What comes from standard input has no path to be known by the next time.
  const known = assets.filter(({ path, unreadable }) => unreadable === null && path !== '-');
  if (wanted === undefined) return known;
  const named = known.filter(({ path }) => resolve(cwd, path) === resolve(cwd, wanted));
  if (named.length > 0) return named;
  const fitting = fittingPattern(known, wanted, cwd);
  if (fitting.length > 0) return fitting;
  const paths = known.map(({ path }) => path);
  throw new UsageError(
    wanted === '-'
      ? 'what came from standard input has no path to waive it by; check the file itself'
      : `no asset that the report tells of fits "${wanted}".${didYouMean(wanted, paths)} It tells of: ${some(paths)}`,
  );
}

function fittingPattern(
  assets: readonly AssetReport[],
  wanted: string,
  cwd: string,
): AssetReport[] {
  try {
    const pattern = assetPattern(wanted, slashes(cwd));
    return assets.filter(({ path }) => fits(pattern, partsOfPath(slashes(resolve(cwd, path)))));
  } catch (error) {
    if (error instanceof PatternFault)
      throw new UsageError(`the pattern --asset ${wanted} ${error.message}`);
    throw error;
  }
}

/** Names that a message has room for. */
const MOST_NAMES = 5;

function some(names: readonly string[]): string {
  const each = [...new Set(names)];
  if (each.length === 0) return 'none';
  const rest = each.length - MOST_NAMES;
  return `${each.slice(0, MOST_NAMES).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
}
