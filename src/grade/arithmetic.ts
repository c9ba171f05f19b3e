import { LEVELS, type Level } from '../kit/finding.js';
import { cellName, codeName } from '../report/markdown-text.js';
import type { Grading } from '../standard/grading.js';
import { countedFaulty, countFrom, familyCost } from './family-cost.js';
import { countedLevel, type Faulty, faultyWords } from './faulty-places.js';
import type { Fix } from './fixes.js';
import type { FamilyGrade, Grade } from './grade-assets.js';
import type { Rubric } from './rubric.js';
import { showLost, showTenths, showWorth } from './tenths.js';

/** What a rule's findings count for in their family; the table of the points has the sum. */
export function costLine(fix: Fix, grade: Grade): string {
  const { also } = fix;
  const own = ownCost(fix, grade);
  if (also === null || also.lost === 0) return own;
  return `${own} It counts in ${codeName(also.family)}, too, which loses ${lostWords(also)}.`;
}

function ownCost(fix: Fix, { grading }: Grade): string {
  const { rule, family, faulty } = fix;
  const name = codeName(rule.family);
  const level = gravestCounted(fix, grading);
  if (family === null) return `Costs no points, because the family ${name} has no points here.`;
  const all = countedFaulty(family.faulty, grading);
  if (countedFaulty([{ kind: 'joint', level }], grading).length === 0)
    return `Costs no points: a ${level} costs nothing.`;
  if (faulty.length === 0)
    return family.file === null
      ? `Costs nothing more: ${name} counts in the rig that loses most.`
      : `Costs nothing more: ${name} counts in ${codeName(family.file)}, where it loses most.`;
  if (family.lost === 0) return `Costs no points: ${name} loses nothing for so few at fault.`;
  const lost = `${lostWords(family)}: ${atFault(all)}`;
  // Alone it would cost as much, and nothing else is at fault.
  const isAll =
    faulty.length >= all.length && familyCost(faulty, grading).share >= family.cost.share;
  if (isAll) return `For this, ${name} loses ${lost}.`;
  return `For this and other faults, ${name} loses ${lost}, ${faulty.length} of them here.`;
}

/** `5 of its 10 points`; `all of its 10 points`. */
export function lostWords({ lost, worth }: Pick<FamilyGrade, 'lost' | 'worth'>): string {
  const shown = showWorth(worth);
  return `${showLost(lost) === shown ? 'all' : showLost(lost)} of its ${shown} points`;
}

/** The gravest level that a finding of a rule counts as. */
function gravestCounted({ findings }: Fix, grading: Grading): Level {
  const levels = findings.map(({ finding }) => countedLevel(finding, grading));
  return LEVELS.find((level) => levels.includes(level)) ?? 'note';
}

/** `5 joints at fault, 1 of them with an error`; `2 joints at fault, which count as errors`. */
export function atFault(faulty: readonly Faulty[]): string {
  const words = `${faultyWords(faulty)} at fault`;
  const errors = countFrom(faulty, 'error');
  if (errors === 0) return words;
  const isAll = errors === faulty.length;
  if (isOther(faulty))
    return `${words}, ${isAll ? 'which' : `of which ${errors}`} ${asErrors(errors)}`;
  if (!isAll) return `${words}, ${errors} of them with an error`;
  return `${words}, ${errors === 1 ? 'with an error' : 'each with an error'}`;
}

/** Whether some of it counts as an error that the report does not call one. */
function isOther(faulty: readonly Faulty[]): boolean {
  return faulty.some((each) => each.level === 'error' && each.isOther === true);
}

function asErrors(count: number): string {
  return count === 1 ? 'counts as an error' : 'count as errors';
}

/** The families' points as a table, each loss as a sum that a student can do again, and their sum. */
export function pointsTable(grade: Grade): string {
  const { families, earned, possible, grading } = grade;
  const rows = families.map((family) => [codeName(family.family), ...familyCells(family, grading)]);
  const lines = [
    ['family', 'at fault', 'lost', 'points', 'of'],
    ['---', '---', '---:', '---:', '---:'],
    ...rows,
    ['**together**', '', '', showTenths(earned), showWorth(possible)],
  ];
  return lines.map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

function familyCells(family: FamilyGrade, grading: Grading): string[] {
  const { earned, worth, lost, file, cost } = family;
  if (earned === null) return ['', '', 'does not apply', ''];
  const faulty = countedFaulty(family.faulty, grading);
  const where = file === null || faulty.length === 0 ? '' : ` in ${cellName(file)}`;
  const loss = lossWords(worth, cost.terms, lost);
  return [`${cellWords(faulty)}${where}`, loss, showTenths(earned), showWorth(worth)];
}

/** `5 joints, 1 with an error`; `2 joints, count as errors`. */
function cellWords(faulty: readonly Faulty[]): string {
  const errors = countFrom(faulty, 'error');
  if (faulty.length === 0) return '';
  if (errors === 0) return faultyWords(faulty);
  const some = errors < faulty.length ? `, ${errors}` : '';
  if (!isOther(faulty)) return `${faultyWords(faulty)}${some} with an error`;
  return `${faultyWords(faulty)}${some || ','} ${asErrors(errors)}`;
}

/** `20 × (1/2 × 2/3 + 1/2 × 1/3) = 10`; `0` where nothing is lost. */
function lossWords(worth: number, terms: readonly string[], lost: number): string {
  if (terms.length === 0) return '0';
  const sum = terms.length === 1 ? terms.join('') : `(${terms.join(' + ')})`;
  return `${showWorth(worth)} × ${sum} = ${showLost(lost)}`;
}

/** What was left out of what is possible, and why, and how the whole is counted then. */
export function scaleWords(grade: Grade, rubric: Rubric): string[] {
  const absent = grade.families.filter(({ earned }) => earned === null);
  if (grade.uncapped === null || absent.length === 0) return [];
  const [earned, scaled] = [showTenths(grade.earned), showTenths(grade.uncapped)];
  const [possible, whole] = [showWorth(grade.possible), showWorth(rubric.whole)];
  return [
    ...absent.map(({ family, worth, because }) => {
      const why = because.length === 0 ? 'its rules are switched off' : because.join('; ');
      return `No rule of ${codeName(family)} applies here (${why}). Its ${showWorth(worth)} points are not lost; they do not count in the total.`;
    }),
    `Earned ${earned} of ${possible} possible: ${earned} × ${whole} / ${possible} = ${scaled} of ${whole}.`,
  ];
}

/** That a rig gets no more than so much, and why, where it matters. */
export function capWords({ cap, uncapped, scaled }: Grade, rubric: Rubric): string[] {
  if (cap === null || uncapped === null || scaled === null || scaled >= uncapped) return [];
  const who =
    cap.rule === null ? 'An unsound rig' : `A rig with a finding of ${codeName(cap.rule)}`;
  const at = `${showWorth(cap.most)} of ${showWorth(rubric.whole)} at most`;
  return [`${who} gets ${at}, so ${showTenths(uncapped)} become ${showTenths(scaled)}.`];
}
