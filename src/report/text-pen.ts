import { wrapAnsi } from 'fast-wrap-ansi';
import type { Paint } from './paint.js';
import type { Verdict } from './report-types.js';
import { visible } from './visible.js';

/** Shared by the parts of the text report. */
export interface TextPen {
  readonly paint: Paint;
  readonly columns: number;
  /** Wraps one paragraph to the width, its first line at `indent`, the others at `hang`. */
  wrap(text: string, indent: number, hang?: number): string[];
}

/** What the lines of a report are written with. */
export function makePen({ columns, paint }: Pick<TextPen, 'columns' | 'paint'>): TextPen {
  return {
    paint,
    columns,
    wrap(text, indent, hang = indent) {
      const width = Math.max(20, columns - hang);
      // A number and its unit stay together.
      const glued = text.replace(NUMBER_AND_UNIT, '$1\u00a0');
      const lines = wrapAnsi(glued, width, { trim: true, hard: true })
        .replaceAll('\u00a0', ' ')
        .split('\n');
      return lines.map((line, at) => `${' '.repeat(at === 0 ? indent : hang)}${line}`);
    },
  };
}

const NUMBER_AND_UNIT = /(\d) (?=(?:%|m|cm|mm|in|ft|s|times)(?:[\s,.;:)]|$))/g;

/** A name as the report shows it. */
export function label(name: string | undefined): string {
  const shown = name ?? '';
  return visible(shown.length > LONGEST_NAME ? `${shown.slice(0, LONGEST_NAME)}...` : shown);
}

/** Letters of a name: a file can hold one of a megabyte. */
const LONGEST_NAME = 120;

export function verdictWord(verdict: Verdict, { paint }: TextPen): string {
  if (verdict === 'sound') return paint.good('sound');
  return paint.error(verdict);
}
