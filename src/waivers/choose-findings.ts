import { resolve } from 'node:path';
import { UsageError } from '../asset/errors.js';
import { assetPatternOr, fits, partsOfPath } from '../house/asset-pattern.js';
import { didYouMean } from '../house/nearest.js';
import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import type { FindingReport } from '../report/report-types.js';
import { slashes } from '../report/slashes.js';
import type { AssetView } from './asset-view.js';
import { isAbout } from './place-key.js';
import type { Subject } from './subjects.js';

/** Which findings of a report to waive; what is left out leaves none of them out. */
interface Wanted {
  /** A rule or a family of rules. */
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
  readonly subject: Subject;
}

/**
 * The findings of a report that are wanted, in its order. Throws UsageError with the nearest names that
 * exist where there are none.
 *
 * @param cwd Folder that the paths of the report are relative to.
 */
export function chooseFindings(views: readonly AssetView[], wanted: Wanted, cwd: string): Chosen[] {
  const { rule, asset, joint, level } = wanted;
  const assets = chooseAssets(views, asset, cwd);
  const inAssets = assets.flatMap(({ path, subjects }) =>
    subjects.map((subject): Chosen => ({ asset: path, finding: subject.finding, subject })),
  );
  const where = asset ?? 'the report';
  if (inAssets.length === 0) throw new UsageError(`${where} has no finding to waive`);
  const ofRule = inAssets.filter(({ finding }) => isOfRule(rule, finding.rule));
  if (ofRule.length === 0) {
    const others = some(inAssets.map(({ finding }) => finding.rule));
    throw new UsageError(`${rule} has no finding in ${where}; these rules have some: ${others}`);
  }
  const atJoint = ofRule.filter(({ finding }) => isAt(joint ?? null, finding));
  if (atJoint.length === 0) {
    const paths = ofRule.flatMap(({ finding }) =>
      [finding.place, ...finding.places].map(({ path }) => path),
    );
    throw new UsageError(
      `${rule ?? 'no rule'} has ${rule === undefined ? 'a' : 'no'} finding at "${joint}" in ${where}.${didYouMean(joint ?? '', paths)} It has some at: ${some(paths.filter((path) => path !== ''))}`,
    );
  }
  if (level === null) return atJoint;
  const high = atJoint.filter(({ finding }) => isFailing(finding.level, level));
  if (high.length === 0) {
    const counts = LEVELS.flatMap((level) => {
      const count = atJoint.filter(({ finding }) => finding.level === level).length;
      return count === 0 ? [] : [`${count} at level ${level}`];
    });
    throw new UsageError(
      `${where} has no finding at ${level} or above; it has ${counts.join(', ')}; choose another level with --level`,
    );
  }
  return high;
}

/** Whether a joint is among what a finding is about. */
export function isAt(joint: string | null, finding: FindingReport): boolean {
  return [finding.place, ...finding.places].some((place) => isAbout(joint, place));
}

/** Whether a rule is the one that was named, or one of the family that was named. */
export function isOfRule(named: string | undefined, id: string): boolean {
  return named === undefined || id === named || id.startsWith(`${named}.`);
}

/** The assets whose path is the one given, else those that fit it as a pattern. */
export function chooseAssets(
  views: readonly AssetView[],
  wanted: string | undefined,
  cwd: string,
): readonly AssetView[] {
  if (wanted === undefined) return views;
  const named = views.filter(({ path }) => resolve(cwd, path) === resolve(cwd, wanted));
  if (named.length > 0) return named;
  const pattern = assetPatternOr(wanted, slashes(cwd), (fault) => {
    throw new UsageError(`the pattern --asset ${wanted} ${fault}`);
  });
  const fitting = views.filter(({ path }) =>
    fits(pattern, partsOfPath(slashes(resolve(cwd, path)))),
  );
  if (fitting.length > 0) return fitting;
  const paths = views.map(({ path }) => path);
  throw new UsageError(
    wanted === '-'
      ? 'an asset from standard input has no path, so it cannot be waived; check the file by its name'
      : `no asset in the report matches "${wanted}".${didYouMean(wanted, paths)} The report has: ${some(paths)}`,
  );
}

/** Names that a message has room for. */
const MOST_NAMES = 5;

function some(names: readonly string[]): string {
  const unique = [...new Set(names)];
  if (unique.length === 0) return 'none';
  const rest = unique.length - MOST_NAMES;
  return `${unique.slice(0, MOST_NAMES).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
}
