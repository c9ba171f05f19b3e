import { shortened } from '../report/finding-words.js';
import { visible } from '../report/visible.js';
import { type ClassList, classLists } from './class-lists.js';
import { firstOf } from './class-words.js';
import type { Course } from './course.js';
import { gradeOf } from './grade-of.js';
import { copyGroups } from './near-copies.js';
import type { Rubric } from './rubric.js';
import { changeWords } from './since-words.js';
import type { Row } from './submission.js';
import { showTenths, showWorth } from './tenths.js';
import { wrapped, wrappedRow } from './wrapped.js';

/** Letters of a name, of a grade, and of a reason, that a line shows. */
const NAME_LETTERS = 40;
const GRADE_LETTERS = 20;
const REASON_LETTERS = 400;
/** Names of one group of near copies that a line lists. */
const LISTED = 10;
/** Names that a list of the class shows. */
const MOST_LISTED = 40;
/** Width of lists where there is no terminal. */
const LIST_COLUMNS = 80;
const SAME_FILE = 'The same file, byte for byte (a shared starting file also looks like this):';
const SAME = 'Same joints and weights (a shared starting file also looks like this):';

export interface SummaryOptions {
  /** Leave the table out. */
  readonly quiet: boolean;
  /** Width of the terminal; null for none: rows of the table are then kept whole, for other programs. */
  readonly columns: number | null;
  /** What became of the class since the hand-in before. */
  readonly course?: Course | null;
}

/** What the terminal shows: the class as a table, who needs a look, and near copies. */
export function writeSummary(
  rows: readonly Row[],
  rubric: Rubric,
  similar: ReadonlyMap<string, readonly string[]>,
  { quiet, columns, course = null }: SummaryOptions,
): string {
  const width = columns ?? LIST_COLUMNS;
  const list = (text: string): string[] => wrapped(text, width, '  ', 4);
  const look = rows.filter((row) => row.look.length > 0);
  const copies = copyGroups(rows, similar);
  const groups = (isSame: boolean): string[] =>
    copies
      .filter(({ sameFile }) => sameFile === isSame)
      .map(({ names }) => firstOf(names.map(shownName), LISTED));
  const block = (title: string, lines: readonly string[]): string[] =>
    lines.length === 0 ? [] : [...wrapped(title, width, '', 0), ...lines.flatMap(list)];
  const blocks = [
    quiet ? [] : tableLines(rows, rubric, columns, course !== null),
    look.length === 0
      ? []
      : [`For a person to look at (${look.length}):`, ...look.flatMap(lookWords).flatMap(list)],
    ...classLists(rows, course).map(({ title, items, isSentences = false }) => [
      ...wrapped(`${title} (${items.length}):`, width, '', 0),
      ...itemLines(items, isSentences).flatMap(list),
    ]),
    block(SAME_FILE, groups(true)),
    block(SAME, groups(false)),
  ];
  return blocks.map((lines) => (lines.length === 0 ? '' : `${lines.join('\n')}\n\n`)).join('');
}

/** The items of a list, as one line, or as a line each where they are sentences. */
function itemLines(items: ClassList['items'], isSentences: boolean): string[] {
  const shown = items.map(({ name, words }) => visible(`${shortened(name, NAME_LETTERS)}${words}`));
  // Names have their line breaks as escapes here.
  return firstOf(shown, MOST_LISTED, isSentences ? '\n' : ', ').split('\n');
}

function tableLines(
  rows: readonly Row[],
  rubric: Rubric,
  columns: number | null,
  isCourse: boolean,
): string[] {
  const cells = [
    {
      name: 'submission',
      points: `of ${showWorth(rubric.whole)}`,
      grade: 'grade',
      change: 'change',
      first: 'fix first',
    },
    ...rows.map(({ name, grade, first, since }) => ({
      name: shownName(name),
      points: grade?.scaled == null ? '-' : showTenths(grade.scaled),
      grade: gradeCell(gradeOf(grade?.scaled ?? null, rubric)?.name ?? null, since),
      change: since?.change == null ? '-' : changeWords(since.change).replace('no change', '0.0'),
      first: grade === null ? 'not graded, see below' : (first ?? 'nothing'),
    })),
  ];
  const left = cells.reduce((most, { name }) => Math.max(most, lettersOf(name)), 0);
  const hasGrades = rubric.grading.grades.length > 0;
  const wide = cells.reduce((most, { grade }) => Math.max(most, lettersOf(grade)), 0);
  const right = cells.reduce((most, { points }) => Math.max(most, points.length), 0);
  const middle = cells.reduce((most, { change }) => Math.max(most, change.length), 0);
  return cells.flatMap(({ name, points, grade, change, first }) => {
    const gap = ' '.repeat(left - lettersOf(name));
    const graded = hasGrades ? `${grade}${' '.repeat(wide - lettersOf(grade))}  ` : '';
    const changed = isCourse ? `${change.padStart(middle)}  ` : '';
    const head = `${name}${gap}  ${points.padStart(right)}  ${graded}${changed}`;
    return columns === null ? [`${head}${first}`] : wrappedRow(head, first, columns);
  });
}

/** `B`, or `B (was C)`. */
function gradeCell(now: string | null, since: Row['since']): string {
  const before = since?.gradeBefore ?? null;
  if (now === null) return '-';
  const shown = (name: string): string => visible(shortened(name, GRADE_LETTERS));
  return before === null || before === now ? shown(now) : `${shown(now)} (was ${shown(before)})`;
}

function lookWords({ name, look }: Row): string[] {
  return look.map((reason) => `${shownName(name)}: ${visible(shortened(reason, REASON_LETTERS))}`);
}

function shownName(name: string): string {
  return visible(shortened(name, NAME_LETTERS));
}

function lettersOf(text: string): number {
  return [...text].length;
}
