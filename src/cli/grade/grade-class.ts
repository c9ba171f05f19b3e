import type { CheckResult } from '../../batch/task.js';
import { writeFeedback } from '../../grade/feedback.js';
import { FEEDBACK } from '../../grade/grades-folder.js';
import { markSubmission, type Row, rowOf } from '../../grade/submission.js';
import { fileNames } from '../../report/file-names.js';
import type { Io } from '../io.js';
import { type BatchFlags, checkFound } from '../run/run-batch.js';
import { FailedRules } from '../run/tell-failed.js';
import type { Submission } from './class-entries.js';
import type { ClassPages, Grading } from './class-pages.js';

/** A class that was graded. */
export interface Graded {
  readonly rows: readonly Row[];
  /** Texts by the path they are written to, in the folder of the grades. */
  readonly feedback: ReadonlyMap<string, string>;
  /** Whether a rule of the house's own failed on any of them. */
  readonly failed: boolean;
}

/**
 * Checks and grades all submissions; null when the user stopped it. What was found in one is let go
 * as soon as its feedback is written, so that memory does not grow with the class.
 */
export async function gradeAll(
  submissions: readonly Submission[],
  { rubric, settings, handbook }: Grading,
  pages: ClassPages | null,
  flags: BatchFlags,
  io: Io,
): Promise<Graded | null> {
  const files = fileNames(submissions.map(({ name }) => name));
  const all = submissions.flatMap(({ list }) => list);
  const needs = new Set(pages === null ? [] : (['pictures'] as const));
  const { results, stopped } = checkFound(all, { settings, needs, flags, io });
  const rows: Row[] = [];
  const feedback = new Map<string, string>();
  const failed = new FailedRules(io);
  try {
    for (const [at, { name, list, reason }] of submissions.entries()) {
      const checked: CheckResult[] = [];
      while (checked.length < list.length) {
        const next = await results.next();
        if (next.done === true) break;
        checked.push(next.value);
      }
      // After a stop, results can be missing anywhere, and nothing is graded.
      if (stopped()) break;
      const assets = checked.map(({ report }) => report);
      for (const asset of assets) await failed.add(asset);
      const marked = markSubmission(name, assets, reason, rubric, settings);
      pages?.add(marked, checked);
      const path = `${FEEDBACK}/${files[at] ?? name}.md`;
      feedback.set(path, writeFeedback(marked, rubric, settings, handbook));
      rows.push(rowOf(marked, path, settings));
    }
  } finally {
    // Closes the workers, also when something went wrong.
    await results.return(undefined);
    if (stopped() || rows.length < submissions.length) pages?.discard();
  }
  await failed.end();
  return stopped() ? null : { rows, feedback, failed: failed.any };
}
