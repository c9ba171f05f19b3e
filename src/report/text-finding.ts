import type { Level } from '../kit/finding.js';
import { alsoWords, otherPlaces } from './places.js';
import type { FindingReport } from './report-types.js';
import { label, type TextPen } from './text-pen.js';
import { visible } from './visible.js';

/**
 * One finding as a paragraph: level, rule, then measure, limit and remedy.
 *
 * @param also What else it lists, in words; every place where nothing else marks them.
 */
export function findingLines(
  finding: FindingReport,
  pen: TextPen,
  indent: number,
  also = alsoWords(otherPlaces(finding), ({ name }) => label(name)),
): string[] {
  const head = `${levelWord(finding.level, pen)} ${finding.rule}`;
  const text = [...sentences(finding).map(visible), also].filter((part) => part !== '').join(' ');
  return pen.wrap(`${head}: ${text}`, indent, Math.min(indent + 2, MOST_INDENT));
}

function sentences({ message, remedy, consequences, beyond = [] }: FindingReport): string[] {
  return [message, remedy, ...consequences, ...beyond];
}

/** Deeper text would have no room left at 80 columns. */
export const MOST_INDENT = 24;

function levelWord(level: Level, { paint }: TextPen): string {
  if (level === 'error') return paint.error('ERROR');
  return level === 'warning' ? paint.warning('WARNING') : paint.note('NOTE');
}

/** Adds lines one by one: spread over a call, a hundred thousand of them overflow the stack. */
export function append(lines: string[], more: readonly string[]): void {
  for (const line of more) lines.push(line);
}
