import { shortened } from './finding-words.js';
import { withoutMarks } from './log-marks.js';
import { visible } from './visible.js';

// Names from files are text, never markup. Backslashes and entities do not reach far enough: hosted
// services look for @mentions, #123 and addresses in what those leave behind. Nothing looks into a
// code span (GFM 6.3), so names go into one, and every word of a sentence that is not plain.

/** Letters of a name: a file can hold one of a megabyte. */
const NAME_LETTERS = 200;

/** Letters of a sentence, long names in it included. */
const SENTENCE_LETTERS = 1200;

/** A name as a code span; its line breaks and other controls as escapes. */
export function codeName(name: string): string {
  return codeSpan(oneLine(name, NAME_LETTERS));
}

function oneLine(text: string, letters: number): string {
  return withoutMarks(visible(shortened(text, letters)));
}

/**
 * A name for a cell of a table. A bar would end the cell, in a code span too, and readers do not
 * agree on how many backslashes prevent that: bars go between code spans, as entities.
 */
export function cellName(name: string): string {
  const parts = oneLine(name, NAME_LETTERS).split('|');
  if (parts.length === 1) return codeName(name);
  return parts.map((part) => (part === '' ? '' : codeSpan(part))).join('&#124;');
}

/**
 * A sentence of ours with names in it, for the inside of a line (at its start, a plain `1.` would
 * begin a list). A name in quotes becomes a code span; the marks of the sentence round it stay out
 * of it.
 */
export function sentenceText(text: string): string {
  const parts: string[] = [];
  let code: string[] = [];
  const closeCode = (): void => {
    if (code.length > 0) parts.push(codeSpan(code.join(' ')));
    code = [];
  };
  const words = oneLine(text, SENTENCE_LETTERS).matchAll(WORDS);
  for (const [, quote, name = '', mark = '', word = ''] of words) {
    if (quote !== undefined) {
      closeCode();
      parts.push(`${quote}${codeSpan(name)}${mark}`);
    } else if (PLAIN.test(word)) {
      closeCode();
      parts.push(word);
    } else {
      // What is not plain in one stretch is one span, up to the marks before and after it.
      const [, before = '', core = word, after = ''] = MARKED.exec(word) ?? [];
      if (before !== '') closeCode();
      code.push(core);
      if (before === '' && after === '') continue;
      parts.push(`${before}${codeSpan(code.join(' '))}${after}`);
      code = [];
    }
  }
  closeCode();
  return parts.join(' ');
}

/** Names in quotes, blanks and quotes inside them too, with the marks round them; else words. */
const WORDS = /(?<=^| )(?:(\(*)"(.*?)"((?:['\u2019]s)?[).,;:?!]*)(?= |$)|([^ ]+))/gu;

/** A word that is not plain, between marks that are; not those that end `:smile:` and `&lt;`. */
const MARKED = /^([("]*)(?!:.*:$|&.*;$)([^("].*?)((?:['\u2019]s)?[").,;:?!]*)$/u;

/**
 * Words without any letter that Markdown, HTML or a service could take for something else: letters,
 * or a number (too short for the name of a commit) and its unit, with the marks of a sentence round
 * them.
 */
const PLAIN =
  /^["(]*(?:\p{L}[\p{L}\p{M}]*(?:['\u2019-]\p{L}[\p{L}\p{M}]*)*|[+-]?\d{1,6}(?:\.\d{1,6})?[\u00b0%]?|[%\u2013\u2026])[").,;:?!]*$/u;

/** A fence unlike any run of backticks inside; spaces that a reader would strip, doubled. */
function codeSpan(text: string): string {
  if (text === '') return '(no name)';
  const runs = new Set(text.match(/`+/g));
  let fence = '`';
  while (runs.has(fence)) fence += '`';
  const pad = /^`|`$|^ .*[^ ].* $/.test(text) ? ' ' : '';
  return `${fence}${pad}${text}${pad}${fence}`;
}
