import type { Settings } from '../check/settings.js';
import type { Level } from '../kit/finding.js';
import { unreadableWords } from '../report/finding-words.js';
import type { AssetReport, Verdict } from '../report/report-types.js';
import { type Grade, gradeAssets } from './grade-assets.js';
import type { Rubric } from './rubric.js';

/** A submission with its grade, or without one where a person has to look first. */
export interface Marked {
  readonly name: string;
  /** In path order, as they were checked. */
  readonly assets: readonly AssetReport[];
  /** The worst of its assets' verdicts. */
  readonly verdict: Verdict;
  /** Null where a person has to look before any points are given. */
  readonly grade: Grade | null;
  /** Findings of what could be read. */
  readonly counts: Readonly<Record<Level, number>>;
  /** Why a person should look, one reason each. */
  readonly look: readonly string[];
}

/**
 * Grades a submission. It gets no points, rather than none of them, when any of its assets could not
 * be read, or when there is no rig in it or nothing that the rubric gives points for.
 *
 * @param reason Why there are no assets, where that is known already.
 */
export function markSubmission(
  name: string,
  assets: readonly AssetReport[],
  reason: string | null,
  rubric: Rubric,
  settings: Settings,
): Marked {
  const look = [...(reason === null ? [] : [reason]), ...assets.flatMap(lookAt)];
  const whole = assets.every(({ verdict }) => verdict !== 'unreadable');
  const rigs = assets.some((asset) => asset.rigs.length > 0);
  const grade = whole && rigs ? gradeAssets(assets, rubric, settings) : null;
  const nothing = grade !== null && grade.scaled === null;
  if (nothing) look.push('no rule with points applies to it');
  const count = (level: Level): number =>
    assets.reduce((sum, { counts }) => sum + counts[level], 0);
  return {
    name,
    assets,
    verdict: worstOf(assets),
    grade: nothing ? null : grade,
    counts: { error: count('error'), warning: count('warning'), note: count('note') },
    look,
  };
}

function lookAt({ path, unreadable, rigs }: AssetReport): string[] {
  if (unreadable !== null) {
    const why = unreadableWords(unreadable).replace(/\.$/, '');
    return [`${path} cannot be read: ${why}`];
  }
  return rigs.length === 0 ? [`${path} has no rig: no mesh in it has a skin`] : [];
}

function worstOf(assets: readonly AssetReport[]): Verdict {
  const has = (wanted: Verdict): boolean => assets.some(({ verdict }) => verdict === wanted);
  if (assets.length === 0 || has('unreadable')) return 'unreadable';
  return has('unsound') ? 'unsound' : 'sound';
}
