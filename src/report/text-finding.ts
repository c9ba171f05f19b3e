import { findingWords, joined } from './finding-words.js';
import { alsoWords, otherPlaces } from './places.js';
import type { FindingReport } from './report-types.js';
import { label, type TextPen } from './text-pen.js';
import { visible } from './visible.js';

/**
 * One finding as a paragraph: level, rule, then measure, limit and remedy.
 *
 * @param also Its other places, in words; every one where nothing else marks them.
 */
export function findingLines(
  finding: FindingReport,
  pen: TextPen,
  indent: number,
  also = alsoWords(otherPlaces(finding), ({ name }) => label(name)),
): string[] {
  const { level, rule } = finding;
  const text = joined([visible(findingWords(finding)), also]);
  const head = `${pen.paint[level](level.toUpperCase())} ${rule}`;
  return pen.wrap(`${head}: ${text}`, indent, Math.min(indent + 2, MOST_INDENT));
}

/** Deeper text would have no room left at 80 columns. */
export const MOST_INDENT = 24;

/** Adds lines one by one: spread over a call, a hundred thousand of them overflow the stack. */
export function append(lines: string[], more: readonly string[]): void {
  for (const line of more) lines.push(line);
}
