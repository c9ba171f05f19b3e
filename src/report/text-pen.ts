import { wrapAnsi } from 'fast-wrap-ansi';
import type { Numbers } from './finding-numbers.js';
import { findingWords, joined } from './finding-words.js';
import type { Paint } from './paint.js';
import { alsoWords, otherPlaces } from './places.js';
import type { FindingReport, Verdict } from './report-types.js';
import { visible } from './visible.js';

export interface PenOptions {
  readonly columns: number;
  readonly paint: Paint;
}

/** Shared by the parts of the text report. */
export interface TextPen {
  readonly paint: Paint;
  /** Wraps one paragraph to the width, its first line at `indent`, the others at `hang`. */
  wrap(text: string, indent: number, hang?: number): string[];
}

/** What the lines of a report are written with. */
export function makePen({ columns, paint }: PenOptions): TextPen {
  return {
    paint,
    wrap(text, indent, hang = indent) {
      // A number and its unit stay together.
      const glued = text.replace(NUMBER_AND_UNIT, '$1\u00a0');
      const width = Math.max(20, columns - hang);
      const wrapped = wrapAnsi(glued, width, { trim: true, hard: true }).replaceAll('\u00a0', ' ');
      return wrapped
        .split('\n')
        .map((line, at) => `${' '.repeat(at === 0 ? indent : hang)}${line}`);
    },
  };
}

const NUMBER_AND_UNIT = /(\d) (?=(?:%|m|cm|mm|in|ft|s|times)(?:[\s,.;:)]|$))/g;

/** Letters of a name: a file can hold one of a megabyte. */
const LONGEST_NAME = 120;

/** A name as the report shows it. */
export function label(name = ''): string {
  return visible(name.length > LONGEST_NAME ? `${name.slice(0, LONGEST_NAME)}...` : name);
}

export function verdictWord(verdict: Verdict, { paint }: TextPen): string {
  if (verdict === 'nothing to judge') return verdict;
  return paint[verdict === 'sound' ? 'good' : 'error'](verdict);
}

/**
 * One finding as a paragraph: its number, level and rule, then measure, limit and remedy.
 *
 * @param numbers Of the findings of its asset.
 * @param also Its other places, in words; every one where nothing else marks them.
 */
export function findingLines(
  finding: FindingReport,
  numbers: Numbers,
  pen: TextPen,
  indent: number,
  also = alsoWords(otherPlaces(finding), ({ name }) => label(name)),
): string[] {
  const { level, rule } = finding;
  const text = joined([visible(findingWords(finding)), also]);
  const head = `${numbers.get(finding) ?? 0}. ${pen.paint[level](level.toUpperCase())} ${rule}`;
  return pen.wrap(`${head}: ${text}`, indent, Math.min(indent + 2, MOST_INDENT));
}

/** Deeper text would have no room left at 80 columns. */
export const MOST_INDENT = 24;

/** Adds lines one by one: spread over a call, a hundred thousand of them overflow the stack. */
export function append(lines: string[], more: readonly string[]): void {
  for (const line of more) lines.push(line);
}
