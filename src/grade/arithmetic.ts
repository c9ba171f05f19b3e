import { LEVELS, type Level } from '../kit/finding.js';
import { cellName, codeName } from '../report/markdown-text.js';
import type { Grading } from '../standard/grading.js';
import { countedFaulty, countFrom } from './family-cost.js';
import { countedLevel, type Faulty, faultyWords } from './faulty-places.js';
import type { Fix } from './fixes.js';
import type { FamilyGrade, Grade } from './grade-assets.js';
import { mostUnsound, type Rubric } from './rubric.js';
import { showLost, showTenths, showWorth } from './tenths.js';

/** What a rule's findings count for in their family; the table of the points has the sum. */
export function costLine(fix: Fix, { grading }: Grade): string {
  const { rule, family, faulty } = fix;
  const name = codeName(rule.family);
  const level = gravestCounted(fix, grading);
  if (family === null) return `Costs no points, because the family ${name} has no points here.`;
  const all = countedFaulty(family.faulty, grading);
  if (countedFaulty([{ kind: 'joint', level }], grading).length === 0)
    return `Costs no points: a ${level} costs nothing.`;
  if (faulty.length === 0 && family.file !== null)
    return `Costs nothing more: ${name} counts in ${codeName(family.file)}, where it loses most.`;
  const besides = errorWords(fix.errorCost);
  if (family.lost === 0) {
    const none = `${name} loses nothing for so few at fault.`;
    return besides === '' ? `Costs no points: ${none}` : `For this, ${none}${besides}`;
  }
  const lost = `${showLost(family.lost)} of its ${showWorth(family.worth)} points`;
  if (faulty.length >= all.length)
    return `For this, ${name} loses ${lost}: ${atFault(all)}.${besides}`;
  return `For this and other faults, ${name} loses ${lost}: ${atFault(all)}, ${faulty.length} of them here.${besides}`;
}

/** The gravest level that a finding of a rule counts as. */
function gravestCounted({ findings }: Fix, grading: Grading): Level {
  const levels = findings.map(({ finding }) => countedLevel(finding, grading));
  return LEVELS.find((level) => levels.includes(level)) ?? 'note';
}

/** What an error in a family costs besides, as a sentence to follow another; empty for nothing. */
export function errorWords(points: number): string {
  return points === 0 ? '' : ` An error in a family costs ${showLost(points)} points more, once.`;
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

/** The families' points and what errors cost as a table, each loss as a sum that a student can do again, and their sum. */
export function pointsTable(grade: Grade): string {
  const { families, earned, possible, grading } = grade;
  const rows = families.map((family) => [codeName(family.family), ...familyCells(family, grading)]);
  const lines = [
    ['family', 'at fault', 'lost', 'points', 'of'],
    ['---', '---', '---:', '---:', '---:'],
    ...rows,
    ...errorRow(grade),
    ['**together**', '', '', showTenths(earned), showWorth(possible)],
  ];
  return lines.map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

/** `errors | in axis, skin | 2 × 15 % × 100 = 30 | -30.0`; none where errors cost nothing. */
function errorRow({ errors, possible, grading }: Grade): string[][] {
  const { families, each, lost } = errors;
  if (lost === 0) return [];
  const all = `${families.length} × ${grading.error.text} × ${showWorth(possible)}`;
  const sum = `${all} = ${showLost(families.length * each)}`;
  return [['errors', `in ${families.map(codeName).join(', ')}`, sum, `-${showTenths(lost)}`, '']];
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

/** That nobody gets less than nothing, and that an unsound rig gets no more than so much, where it matters. */
export function capWords(
  { families, errors, earned, uncapped, scaled }: Grade,
  rubric: Rubric,
): string[] {
  const own = families.reduce((sum, family) => sum + (family.earned ?? 0), 0);
  if (own - errors.lost < earned) return ['Nobody gets less than 0 points.'];
  if (uncapped === null || scaled === null || scaled >= uncapped) return [];
  const [most, whole] = [showWorth(mostUnsound(rubric)), showWorth(rubric.whole)];
  return [
    `An unsound rig gets ${most} of ${whole} at most, so ${showTenths(uncapped)} become ${showTenths(scaled)}.`,
  ];
}
