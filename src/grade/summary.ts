import { shortened } from '../report/finding-words.js';
import { visible } from '../report/visible.js';
import { firstOf } from './class-words.js';
import type { Rubric } from './rubric.js';
import type { Row } from './submission.js';
import { showTenths, showWorth } from './tenths.js';
import { wrapped, wrappedRow } from './wrapped.js';

/** Letters of a name, and of a reason, that a line shows. */
const NAME_LETTERS = 40;
const REASON_LETTERS = 400;
/** Names of one group of near copies that a line lists. */
const LISTED = 10;
/** Width of lists where there is no terminal. */
const LIST_COLUMNS = 80;
const SAME = 'Same joints and weights (a shared starting file also looks like this):';

export interface SummaryOptions {
  /** Leave the table out. */
  readonly quiet: boolean;
  /** Width of the terminal; null for none: rows of the table are then kept whole, for other programs. */
  readonly columns: number | null;
}

/** What the terminal shows: the class as a table, who needs a look, and near copies. */
export function writeSummary(
  rows: readonly Row[],
  { whole }: Rubric,
  similar: ReadonlyMap<string, readonly string[]>,
  { quiet, columns }: SummaryOptions,
): string {
  const width = columns ?? LIST_COLUMNS;
  const list = (text: string): string[] => wrapped(text, width, '  ', 4);
  const look = rows.filter((row) => row.look.length > 0);
  const groups = groupsOf(rows, similar).map((names) => firstOf(names.map(shownName), LISTED));
  const blocks = [
    quiet ? [] : tableLines(rows, showWorth(whole), columns),
    look.length === 0
      ? []
      : [`For a person to look at (${look.length}):`, ...look.flatMap(lookWords).flatMap(list)],
    groups.length === 0 ? [] : [...wrapped(SAME, width, '', 0), ...groups.flatMap(list)],
  ];
  return blocks.map((lines) => (lines.length === 0 ? '' : `${lines.join('\n')}\n\n`)).join('');
}

function tableLines(rows: readonly Row[], whole: string, columns: number | null): string[] {
  const cells = [
    { name: 'submission', points: `of ${whole}`, first: 'fix first' },
    ...rows.map(({ name, grade, first }) => ({
      name: shownName(name),
      points: grade?.scaled == null ? '-' : showTenths(grade.scaled),
      first: grade === null ? 'not graded, see below' : (first ?? 'nothing'),
    })),
  ];
  const left = cells.reduce((most, { name }) => Math.max(most, lettersOf(name)), 0);
  const right = cells.reduce((most, { points }) => Math.max(most, points.length), 0);
  return cells.flatMap(({ name, points, first }) => {
    const gap = ' '.repeat(left - lettersOf(name));
    const head = `${name}${gap}  ${points.padStart(right)}  `;
    return columns === null ? [`${head}${first}`] : wrappedRow(head, first, columns);
  });
}

function lookWords({ name, look }: Row): string[] {
  return look.map((reason) => `${shownName(name)}: ${visible(shortened(reason, REASON_LETTERS))}`);
}

/**
 * Submissions that are similar each to each, so that one with a rig of two groups is in both and
 * joins neither to the other. Every pair is in one group at least.
 */
function groupsOf(
  rows: readonly Row[],
  similar: ReadonlyMap<string, readonly string[]>,
): string[][] {
  const names = rows.map(({ name }) => name);
  const mates = new Map(names.map((name) => [name, new Set(similar.get(name))]));
  const grouped = new Map(names.map((name) => [name, new Set<string>()]));
  return names.flatMap((name) =>
    names.flatMap((other) => {
      if (!mates.get(name)?.has(other) || grouped.get(name)?.has(other)) return [];
      const group = new Set([name, other]);
      for (const third of names)
        if ([...group].every((member) => mates.get(member)?.has(third))) group.add(third);
      for (const member of group) for (const mate of group) grouped.get(member)?.add(mate);
      return [names.filter((member) => group.has(member))];
    }),
  );
}

function shownName(name: string): string {
  return visible(shortened(name, NAME_LETTERS));
}

function lettersOf(text: string): number {
  return [...text].length;
}
