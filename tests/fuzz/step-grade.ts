import { rules } from '../../rules/index.js';
import { checkAsset } from '../../src/check/check-asset.js';
import { writeFeedback } from '../../src/grade/feedback.js';
import { writeGradebook } from '../../src/grade/gradebook.js';
import { nearCopies } from '../../src/grade/near-copies.js';
import { recordOf } from '../../src/grade/older/mark-record.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { markSubmission, rowOf } from '../../src/grade/submission.js';
import { writeSummary } from '../../src/grade/summary.js';
import { faultsOf, slipIn } from './report-faults.js';
import type { Step } from './step.js';

const rubric = rubricOf(null, rules);

/** `trysquare grade`, of a class of one, which always bends the skin. */
export const gradeStep: Step = {
  name: 'grade',
  async work({ mutant, path, settings: { wanted, ...rest } }) {
    const settings = { ...rest, wanted, motion: true };
    const name = `mutant.${mutant.ending}`;
    const asset = await checkAsset(path, { settings, name });
    const marked = markSubmission(name, [asset], null, rubric, settings);
    const record = recordOf([asset], marked.grade !== null, null, rubric);
    const more = { from: name, feedback: 'feedback/mutant.md', record, since: null, late: 0 };
    const rows = [rowOf(marked, more, settings)];
    const similar = nearCopies(rows);
    const texts = {
      feedback: writeFeedback(marked, rubric, settings),
      gradebook: writeGradebook(rows, rubric, similar),
      summary: writeSummary(rows, rubric, similar, { quiet: false, columns: 80 }),
    };
    return () => {
      const { grade } = marked;
      const points = grade?.scaled ?? null;
      const faults = faultsOf(asset);
      if (points !== null && !(points >= 0 && points <= rubric.whole))
        faults.push(`gives ${points} of ${rubric.whole} tenths of points`);
      // A reason may quote a number of the file.
      if (asset.unreadable === null)
        for (const [kind, text] of Object.entries(texts)) faults.push(...slipIn(kind, text));
      return { outcome: grade === null ? 'not graded' : 'graded', faults };
    };
  },
};
