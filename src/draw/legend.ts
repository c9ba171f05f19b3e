import { visible } from '../report/visible.js';
import { APPROVED_SIGNS } from './approved-bones.js';
import { pill } from './badges.js';
import { jointDot } from './bones.js';
import type { Block } from './curl-picture.js';
import type { Numbered } from './joint-findings.js';
import { INNER_WIDTH } from './rig-layout.js';
import { element, SPACE, textElement, twoPartLine } from './svg.js';
import { BOLD, cut, fitText, shortName, textWidth, wrapText } from './text-size.js';

const GAP = 32;
const NUMBER = 30;
const LETTER = 12;
const LINE = 16;
const AFTER = 8;
/** Findings that a legend lists; the rest are counted. */
const MOST = 200;
/** Letters of one message. */
const MESSAGE_LETTERS = 600;
/** A path of more letters fits nowhere. */
const LONGEST_PATH = 120;

/** Findings in words, what is mended first at the head, in two columns of about the same height. */
export function drawLegend(findings: readonly Numbered[], unmarked: readonly number[]): Block {
  const columns = findings.length > 1 ? 2 : 1;
  const width = columns === 1 ? INNER_WIDTH * 0.7 : (INNER_WIDTH - GAP) / 2;
  const entries = findings
    .slice(0, MOST)
    .map((entry) => drawEntry(entry, width, unmarked.includes(entry.number)));
  const more = findings.length - entries.length;
  if (more > 0) {
    const words = `and ${more} more, which are in the report`;
    const svg = textElement(NUMBER, LETTER, 'drawing-quiet', words);
    entries.push({ svg, height: LINE + AFTER });
  }
  const total = entries.reduce((sum, { height }) => sum + height, 0);
  let [column, y, highest] = [0, 0, 0];
  const parts = entries.map(({ svg, height }) => {
    if (column + 1 < columns && y > 0 && y + height / 2 > total / columns) [column, y] = [1, 0];
    const transform = `translate(${column * (width + GAP)} ${y})`;
    y += height;
    highest = Math.max(highest, y);
    return element('g', { transform }, svg);
  });
  return { svg: parts.join(''), height: highest };
}

function drawEntry({ number, finding }: Numbered, width: number, unmarked: boolean): Block {
  const { level, rule, place, message, remedy, waived } = finding;
  const remarks = [waived && 'waived', unmarked && 'not marked here'].filter(Boolean).join(', ');
  const what = `${level} ${rule}`;
  const tail = remarks === '' ? '' : ` (${remarks})`;
  const room = width - NUMBER - textWidth(what, LETTER) * BOLD - textWidth(tail, LETTER) - SPACE;
  const where = place.kind === 'asset' ? '' : shortPath(place.path, place.name, room);
  const head = twoPartLine(NUMBER, LETTER, what, where + tail);
  const linesOf = (words: string): string[] =>
    words === '' ? [] : wrapText(cut(visible(words), MESSAGE_LETTERS), LETTER, width - NUMBER);
  const told = linesOf(message).map((line) => [line, 'drawing-text'] as const);
  const mend = linesOf(remedy === '' ? '' : `Mend: ${remedy}`);
  const lines = [...told, ...mend.map((line) => [line, 'drawing-remedy'] as const)];
  const text = lines.map(([line, look], index) =>
    textElement(NUMBER, LETTER + LINE * (index + 1), look, line),
  );
  const mark = textElement(NUMBER - 8, LETTER, `drawing-strong drawing-${level}`, String(number), {
    'text-anchor': 'end',
  });
  return { svg: [mark, head, ...text].join(''), height: LINE * (lines.length + 1) + AFTER };
}

/** The path of a joint where it fits, else the name alone. */
function shortPath(path: string, name: string, room: number): string {
  const whole = visible(path.slice(0, LONGEST_PATH));
  const fits = path.length <= LONGEST_PATH && textWidth(whole, LETTER) <= room;
  return fits ? whole : fitText(shortName(name), LETTER, room);
}

/** What the signs mean, in a row; those of an approved rig in another, where one is drawn. */
export function drawSigns(hasApproved = false): Block {
  const letters = ['x', 'y', 'z'].map((axis, index) => {
    const className = `drawing-letter drawing-${axis}`;
    return textElement(2 + 9 * index, 12, className, axis.toUpperCase(), { 'font-size': 10 });
  });
  const badge =
    pill('note', { x: 0, y: 0, width: 16, height: 16 }) + textElement(8, 12, 'drawing-number', '1');
  const signs: readonly Sign[] = [
    [jointDot([6, 8], true, 2.4), 20, 'joint that moves skin'],
    [jointDot([6, 8], false, 2.4), 20, 'joint that moves no skin'],
    [element('line', { class: 'drawing-bone', x1: 0, y1: 12, x2: 12, y2: 4 }), 20, 'bone'],
    [letters.join(''), 28, 'axes of a joint, drawn where there is room for their letters'],
    [badge, 20, 'finding, with its number in text and page'],
  ];
  const rows = hasApproved ? [signs, APPROVED] : [signs];
  return { svg: rows.map(signRow).join(''), height: ROW * rows.length };
}

type Sign = readonly [svg: string, inset: number, words: string];

const ROW = 20;

const APPROVED: readonly Sign[] = [
  [APPROVED_SIGNS.bone, 20, 'bone of the approved rig'],
  [APPROVED_SIGNS.joint, 20, 'joint of the approved rig that this rig has elsewhere or not at all'],
];

function signRow(signs: readonly Sign[], row: number): string {
  let x = 0;
  const parts = signs.map(([svg, inset, words]) => {
    const transform = `translate(${Math.round(x)} ${ROW * row})`;
    x += inset + textWidth(words, LETTER) + 20;
    return element('g', { transform }, svg, textElement(inset, 12, 'drawing-quiet', words));
  });
  return parts.join('');
}
