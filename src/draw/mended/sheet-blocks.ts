import type { Block } from '../curl-picture.js';
import { INNER_WIDTH } from '../rig-layout.js';
import { element, textElement } from '../svg.js';
import { BOLD, fitText, shortName, wrapText } from '../text-size.js';

const LETTER = 12;
const LINE = 16;
/** Where the words of an entry begin: after its mark, and after its name. */
const [MARK, STRONG] = [30, 220];
/** Letters of the words of one entry. */
const ENTRY_LETTERS = 600;

/** One entry of a list: a number or none, a name, and words that may take several lines. */
export interface Entry {
  readonly mark: string;
  readonly strong: string;
  readonly words: string;
}

/** A line of text with its baseline at `y`. */
export function line(y: number, className: string, text: string, height: number): Block {
  return { svg: textElement(0, y, className, text), height };
}

export function rule(): Block {
  const across = { x1: 0, y1: 8, x2: INNER_WIDTH, y2: 8 };
  return { svg: element('line', { class: 'drawing-rule', ...across }), height: 26 };
}

/** Words over as many lines as they need. */
export function wrapped(words: string, className: string): Block[] {
  const lines = wrapText(shortName(words, ENTRY_LETTERS), LETTER, INNER_WIDTH);
  return lines.map((text, at) => line(12, className, text, at === lines.length - 1 ? 22 : LINE));
}

export function entries(list: readonly Entry[]): Block[] {
  return list.map(({ mark, strong, words }) => {
    const left = mark === '' ? 0 : MARK;
    const name = fitText(shortName(strong, 60), LETTER * BOLD, STRONG - 12);
    const lines = wrapText(shortName(words, ENTRY_LETTERS), LETTER, INNER_WIDTH - left - STRONG);
    const text = lines.map((each, at) =>
      textElement(left + STRONG, 12 + LINE * at, 'drawing-text', each),
    );
    const number = mark === '' ? '' : textElement(0, 12, 'drawing-strong drawing-note', mark);
    const svg = [number, textElement(left, 12, 'drawing-strong', name), ...text].join('');
    return { svg, height: LINE * Math.max(1, lines.length) + 6 };
  });
}
