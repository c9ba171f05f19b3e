import type { Settings } from '../check/settings.js';
import { countLevels, verdictOf } from '../check/verdict.js';
import { codeName } from '../report/markdown-text.js';
import type { AssetReport } from '../report/report-types.js';
import type { Fix } from './fixes.js';
import { gradeAssets } from './grade-assets.js';
import { gradeOf, gradeText, stepWords } from './grade-of.js';
import type { Rubric } from './rubric.js';
import type { Marked } from './submission.js';
import { showTenths } from './tenths.js';

/** Grades that are all told; of more, the one that was reached and the next. */
const MOST_STEPS = 8;
/** Rules that are named; of more, a reader is sent to the list. */
const MOST_NAMED = 2;

/**
 * What the grades are, and the least that has to be mended for a better one, as a sentence or two of
 * Markdown; empty where the class has no grades.
 */
export function gradeWords(
  marked: Marked,
  fixes: readonly Fix[],
  rubric: Rubric,
  settings: Settings,
): string {
  const { whole, grading } = rubric;
  const step = gradeOf(marked.grade?.scaled ?? null, rubric);
  if (step === null) return '';
  const at = grading.grades.indexOf(step);
  const isShort = grading.grades.length <= MOST_STEPS;
  const told = isShort ? grading.grades : grading.grades.slice(Math.max(0, at - 1), at + 1);
  const steps = `${isShort ? 'Grades' : 'Grades here'}: ${stepWords(told, whole, gradeText)}.`;
  return at === 0 ? steps : `${steps}${nextWords(marked, fixes, rubric, settings)}`;
}

/** What to mend for a better grade, in the order of the list; empty where mending all of it gives none. */
function nextWords(
  marked: Marked,
  fixes: readonly Fix[],
  rubric: Rubric,
  settings: Settings,
): string {
  const now = marked.grade?.scaled ?? 0;
  const best = rubric.grading.grades;
  for (let count = 1; count <= fixes.length; count++) {
    const points = pointsWithout(marked, fixes.slice(0, count), rubric, settings);
    const [before, after] = [now, points].map((each) => gradeOf(each, rubric));
    if (points === null || before == null || after == null) continue;
    if (best.indexOf(after) >= best.indexOf(before)) continue;
    const named = fixes.slice(0, count).map(({ rule }) => codeName(rule.id));
    const what = count > MOST_NAMED ? `the first ${count} of the list below` : named.join(' and ');
    return ` Mend ${what} for grade ${gradeText(after.name)} (${showTenths(points)} points, if nothing new is found).`;
  }
  return '';
}

/** The points of a submission once some of what was found is mended; null for none. */
function pointsWithout(
  { assets, against }: Marked,
  mended: readonly Fix[],
  rubric: Rubric,
  settings: Settings,
) {
  const gone = new Set(mended.map(({ rule }) => rule.id));
  const left = assets.map((asset): AssetReport => {
    const findings = asset.findings.filter(({ rule }) => !gone.has(rule));
    const after = { ...asset, findings, counts: countLevels(findings) };
    return { ...after, verdict: verdictOf(after, settings.failing) };
  });
  return gradeAssets(left, rubric, settings, against).scaled;
}
