import { wrapAnsi } from 'fast-wrap-ansi';

/** Letters that a column of words needs; a narrower one is a ladder of single words. */
const LEAST = 20;

/**
 * A paragraph as lines of at most `columns`, the first after `head`, the others at `hang`. A word
 * longer than a line, such as a path, stays whole so that it can be copied.
 */
export function wrapped(text: string, columns: number, head: string, hang: number): string[] {
  const wide = Math.max(LEAST, columns - Math.max([...head].length, hang));
  const [first = '', ...rest] = wrapAnsi(text, wide, { trim: true, hard: false }).split('\n');
  return [`${head}${first}`, ...rest.map((line) => `${' '.repeat(hang)}${line}`)];
}

/** The last cell of a row beside the others, or under them where it would be too narrow. */
export function wrappedRow(cells: string, last: string, columns: number): string[] {
  const wide = [...cells].length;
  if (columns - wide >= LEAST) return wrapped(last, columns, cells, wide);
  return [cells.trimEnd(), ...wrapped(last, columns, '    ', 4)];
}
