import type { CheckResult } from '../../batch/task.js';
import { writeFeedback } from '../../grade/feedback.js';
import { gradeOf } from '../../grade/grade-of.js';
import { FEEDBACK } from '../../grade/grades-folder.js';
import { lateBy } from '../../grade/late.js';
import { recordOf } from '../../grade/older/mark-record.js';
import { sinceOf } from '../../grade/since.js';
import { sinceBlocks } from '../../grade/since-words.js';
import { type Row, rowOf } from '../../grade/submission.js';
import { fileNamer } from '../../report/file-names.js';
import type { Io } from '../io.js';
import { type BatchFlags, checkFound } from '../run/run-batch.js';
import { FailedRules } from '../run/tell-failed.js';
import type { Submission } from './class-entries.js';
import type { ClassPages } from './class-pages.js';
import type { Grading, Term } from './grading.js';
import { piecesOf } from './pieces.js';

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
  grading: Grading,
  term: Term,
  pages: ClassPages | null,
  flags: BatchFlags,
  io: Io,
): Promise<Graded | null> {
  const { rubric, settings, like } = grading;
  const { older } = term;
  const fileOf = fileNamer();
  const all = submissions.flatMap(({ list }) => list);
  const needs = new Set(pages === null ? [] : (['pictures'] as const));
  const { results, stopped } = checkFound(all, {
    settings,
    needs,
    drawViews: true,
    like,
    flags,
    io,
  });
  const rows: Row[] = [];
  const feedback = new Map<string, string>();
  const failed = new FailedRules(io);
  const otherTerms = older?.settings != null && older.settings !== term.settings;
  let whole = false;
  try {
    for (const submission of submissions) {
      const checked: CheckResult[] = [];
      while (checked.length < submission.list.length) {
        const next = await results.next();
        if (next.done === true) break;
        checked.push({ ...next.value, report: term.clean(next.value.report) });
      }
      // After a stop, results can be missing anywhere, and nothing is graded.
      if (stopped()) break;
      for (const { report } of checked) await failed.add(report);
      for (const piece of piecesOf(submission, checked, grading, term)) {
        const { marked } = piece;
        const { name } = marked;
        const isGraded = marked.grade !== null;
        const record = recordOf(marked.assets, isGraded, submission.content, rubric);
        const points = marked.grade?.scaled ?? null;
        const since = older && sinceOf(name, points, record, older, rubric);
        const late = lateBy(submission.handedIn, term.due);
        const file = fileOf(name);
        const path = `${FEEDBACK}/${file}.md`;
        const news = [
          ...unmarkedBlocks(submission),
          ...sinceBlocks(
            since,
            points,
            gradeOf(points, rubric)?.name ?? null,
            otherTerms,
            settings,
          ),
        ];
        const text = writeFeedback(marked, rubric, settings, news, grading.handbook);
        feedback.set(path, text);
        const more = { from: submission.name, feedback: path, record, since, late };
        const row = rowOf(marked, more, settings);
        rows.push(row);
        pages?.add(piece, row, text, file);
      }
    }
    whole = !stopped();
  } finally {
    // Closes the workers, also when something went wrong.
    await results.return(undefined);
    if (!whole) pages?.discard();
  }
  await failed.end();
  return whole ? { rows, feedback, failed: failed.any } : null;
}

/** What a student has to know of files that were not looked at. */
function unmarkedBlocks({ unmarked }: Submission): string[] {
  if (unmarked === 0) return [];
  const files = unmarked === 1 ? '1 other file' : `${unmarked} other files`;
  return [
    `Only the final file was marked; ${files} of this submission ${unmarked === 1 ? 'was' : 'were'} not looked at.`,
  ];
}
