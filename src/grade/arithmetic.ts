import { codeName } from '../report/markdown-text.js';
import { shareWords } from './class-words.js';
import type { Fix } from './fixes.js';
import type { FamilyGrade, Grade } from './grade-assets.js';
import { type Rubric, WEIGHTS } from './rubric.js';
import { showLost, showTenths, showWorth } from './tenths.js';

/** What a rule cost, as a sum that a student can do again. */
export function costLine({ family, grade, findings, rule }: Fix): string {
  if (family === null || grade === null)
    return `Costs no points, because the family ${codeName(rule.family)} has no points here.`;
  const { weight, looked, short, of, lost, level, file } = grade;
  const sum = `${showWorth(family.worth)} × ${weight} / ${family.weights} × ${short} / ${looked} = ${showLost(lost)}`;
  const parts = [
    `${showWorth(family.worth)} points for ${codeName(family.family)}`,
    `weight ${weight} of ${family.weights} for ${level === 'error' ? 'an' : 'a'} ${level} rule`,
    `${shareWords(short, looked, of)} at fault${file === null ? '' : ` in ${codeName(file)}`}`,
  ];
  const milder = findings.some(({ finding }) => finding.level !== level)
    ? ' The weight depends on the level of the rule, not on the level of a finding.'
    : '';
  return `Costs ${showLost(lost)} points: ${sum} (${parts.join(', ')}).${milder}`;
}

/** The weights that the costs were divided by, of each family that lost points, as a list. */
export function weightLines({ families }: Grade): string[] {
  const costly = families.filter(({ lost }) => lost !== 0);
  return costly.map(({ family, rules, weights }) => {
    const each = rules.map(({ rule, weight }) => `${codeName(rule.id)} ${weight}`).join(', ');
    const whole = rules.length === 1 ? '' : `, together ${weights}`;
    return `- The rules of ${codeName(family)} that applied, with their weights: ${each}${whole}.`;
  });
}

/** The families' points as a table, and their sum. */
export function pointsTable({ families, earned, possible }: Grade): string {
  const rows = families.map((family) => [codeName(family.family), ...familyCells(family)]);
  const sum = ['**together**', '', showTenths(earned), showWorth(possible)];
  const lines = [['family', 'lost', 'points', 'of'], ['---', '---:', '---:', '---:'], ...rows, sum];
  return lines.map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

function familyCells({ earned, worth, rules, lost }: FamilyGrade): string[] {
  if (earned === null) return ['', 'does not apply', ''];
  const costs = rules.flatMap((rule) => (rule.lost > 0 ? [showLost(rule.lost)] : []));
  const sum = costs.length > 1 ? `${costs.join(' + ')} = ` : '';
  return [`${sum}${showLost(lost)}`, showTenths(earned), showWorth(worth)];
}

/** What was left out of what is possible, and why, and how the whole is counted then. */
export function scaleWords(grade: Grade, rubric: Rubric): string[] {
  const absent = grade.families.filter(({ earned }) => earned === null);
  if (grade.scaled === null || absent.length === 0) return [];
  const [earned, scaled] = [showTenths(grade.earned), showTenths(grade.scaled)];
  const [possible, whole] = [showWorth(grade.possible), showWorth(rubric.whole)];
  return [
    ...absent.map(({ family, worth, because }) => {
      const why = because.length === 0 ? 'its rules are switched off' : because.join('; ');
      return `No rule of ${codeName(family)} applies here (${why}). Its ${showWorth(worth)} points are not lost; they do not count in the total.`;
    }),
    `Earned ${earned} of ${possible} possible: ${earned} × ${whole} / ${possible} = ${scaled} of ${whole}.`,
  ];
}

/** How points are counted, for the end of every feedback. */
export function countingWords(files: number): string {
  return files > 1 ? `${COUNTING} ${SEVERAL_FILES}` : COUNTING;
}

const COUNTING = [
  `Each rule that applied has a share of its family's points, by its weight: ${WEIGHTS.error} for error rules, ${WEIGHTS.warning} for warning rules, ${WEIGHTS.note} for note rules.`,
  'It costs the part of that share that is at fault: with 2 of 31 joints at fault, 2 / 31 of the share.',
  'What is only the result of another fault costs nothing.',
  'Costs are shown with three decimals. The points of a family are rounded once, to one decimal, and then added.',
].join(' ');

const SEVERAL_FILES =
  'With several files, each rule counts in the file where the largest share is at fault. What it found in the other files costs nothing more.';
