import { cellName, codeName } from '../report/markdown-text.js';
import type { Grading } from '../standard/grading.js';
import { countedFaulty, countFrom } from './family-cost.js';
import { type Faulty, faultyWords } from './faulty-places.js';
import type { Fix } from './fixes.js';
import type { FamilyGrade, Grade } from './grade-assets.js';
import type { Rubric } from './rubric.js';
import { showLost, showTenths, showWorth } from './tenths.js';

/** What a rule's findings count for in their family; the table of the points has the sum. */
export function costLine({ rule, level, family, faulty }: Fix, { grading }: Grade): string {
  const name = codeName(rule.family);
  if (family === null) return `Costs no points, because the family ${name} has no points here.`;
  const all = countedFaulty(family.faulty, grading);
  if (countedFaulty([{ kind: 'joint', level }], grading).length === 0)
    return `Costs no points: a ${level} costs nothing.`;
  if (faulty.length === 0 && family.file !== null)
    return `Costs nothing more: ${name} counts in ${codeName(family.file)}, where it loses most.`;
  if (family.lost === 0) return `Costs no points: ${name} loses nothing for so few at fault.`;
  const lost = `${showLost(family.lost)} of its ${showWorth(family.worth)} points`;
  if (faulty.length >= all.length) return `For this, ${name} loses ${lost}: ${atFault(all)}.`;
  return `For this and other faults, ${name} loses ${lost}: ${atFault(all)}, ${faulty.length} of them here.`;
}

/** `5 joints at fault, 1 of them with an error`. */
export function atFault(faulty: readonly Faulty[]): string {
  const errors = countFrom(faulty, 'error');
  const words = `${faultyWords(faulty)} at fault`;
  if (errors === 0) return words;
  if (errors < faulty.length) return `${words}, ${errors} of them with an error`;
  return `${words}, ${errors === 1 ? 'with an error' : 'each with an error'}`;
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

/** `5 joints, 1 with an error`. */
function cellWords(faulty: readonly Faulty[]): string {
  const errors = countFrom(faulty, 'error');
  if (faulty.length === 0) return '';
  if (errors === 0) return faultyWords(faulty);
  return `${faultyWords(faulty)}${errors < faulty.length ? `, ${errors}` : ''} with an error`;
}

/** `20 × (1/3 + 1/6) = 10`; `0` where nothing is lost. */
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

/** What an unsound rig keeps of its points, with the sum; nothing for a sound one. */
export function capWords(
  { unsound, uncapped, scaled, grading }: Grade,
  { whole }: Rubric,
): string[] {
  if (!unsound || uncapped === null || scaled === null || grading.unsound.value === 1) return [];
  const [before, after] = [showTenths(uncapped), showTenths(scaled)];
  const keeps = grading.unsound.text;
  return [
    `An unsound rig keeps ${keeps} of its points: ${before} × ${keeps} = ${after} of ${showWorth(whole)}.`,
  ];
}
