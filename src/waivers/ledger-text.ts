import { applyEdits, createScanner, type Edit, findNodeAtLocation, type Node } from 'jsonc-parser';
import { type HouseFile, parseHouseText } from '../house/house-file.js';
import { schemaLine } from '../house/schema-line.js';
import type { WaiverText } from './ledger.js';
import { waiverLine } from './waiver-line.js';

/** A ledger without a waiver, with a description of one. */
export const STARTING_LEDGER = `// Findings that this house accepts. Read by "trysquare check" from the folder it runs in or any
// above; written by hand or by "trysquare waive".
{
  ${schemaLine('waivers')}

  // A waiver: { "rule": "axis.up", "asset": "puppets/heron.glb", "level": "error",
  //   "measured": 92.4, "unit": "degrees", "places": { "body/neck": 92.4 },
  //   "why": "...", "by": "...", "until": "2031-05-01" }
  // The asset is relative to this folder; without a last day (UTC), the waiver has no end. What is
  // worse than it was by more than a tenth, or at a place that is not listed, fails. "trysquare waive"
  // writes, renews, moves and removes waivers, and leaves comments as they are.
  "waivers": []
}
`;

export interface LedgerChange {
  /** What replaces waivers, by their index: nothing where one is taken out. */
  readonly instead: ReadonlyMap<number, readonly WaiverText[]>;
  /** What is added at the end. */
  readonly added: readonly WaiverText[];
}

/**
 * The text of a ledger with waivers replaced, taken out and added, one a line; all else, comments and
 * order included, stays as it is.
 *
 * @param file A ledger that has been read, so that its list is there.
 */
export function changedText(file: HouseFile, { instead, added }: LedgerChange): string {
  const nodes = findNodeAtLocation(file.root, ['waivers'])?.children ?? [];
  const eol = eolOf(file.text);
  const edits = [...instead].flatMap(([index, waivers]): Edit[] => {
    const node = nodes[index];
    if (node === undefined) return [];
    if (waivers.length === 0) return removal(file.text, node);
    const indent = indentAt(file.text, node.offset);
    const content = waivers.map(waiverLine).join(`,${eol}${indent}`);
    return [{ offset: node.offset, length: node.length, content }];
  });
  return withWaivers(parseHouseText(applyEdits(file.text, edits), 'the ledger'), added);
}

/**
 * Takes an item out with the comma after it, and with its line where nothing else is on it. A comma that
 * is left before the end of the list is allowed there.
 */
function removal(text: string, { offset, length }: Node): Edit[] {
  const end = offset + length;
  const comma = commaAfter(text, end);
  const before = text.slice(0, offset);
  const start = /(?:^|[\r\n])[ \t]*$/.exec(before);
  // From the end of the line before, where the item and its comma have their lines to themselves.
  const after = comma === null ? end : comma + 1;
  const rest = /^[ \t]*(?=\r?\n|$)/.exec(text.slice(after));
  const isPlain = comma === null || text.slice(end, comma).trim() === '';
  if (start !== null && rest !== null && isPlain) {
    const from = before.replace(/(?:\r\n|\n|\r)?[ \t]*$/, '').length;
    return [{ offset: from, length: after + rest[0].length - from, content: '' }];
  }
  return [
    { offset, length, content: '' },
    ...(comma === null ? [] : [{ offset: comma, length: 1, content: '' }]),
  ];
}

/**
 * The text with waivers added at the end of its list. `jsonc-parser` could insert them, but puts a new
 * item before the comment behind the last one, which is then a comment on the wrong waiver.
 */
function withWaivers({ text, root }: HouseFile, added: readonly WaiverText[]): string {
  const list = findNodeAtLocation(root, ['waivers']);
  if (list === undefined || added.length === 0) return text;
  const eol = eolOf(text);
  const outer = indentAt(text, list.offset);
  const last = list.children?.at(-1);
  const closing = list.offset + list.length - 1;
  // Where each waiver has a line, the last one shows how far to indent.
  const indent = last === undefined ? '' : indentAt(text, last.offset);
  const inner = indent.length > outer.length ? indent : `${outer}  `;
  const lines = added.map((waiver) => `${inner}${waiverLine(waiver)}`).join(`,${eol}`);
  const before = text.slice(0, closing).trimEnd().length;
  const end = last === undefined ? before : last.offset + last.length;
  const comma = last === undefined || commaAfter(text, end) !== null ? '' : ',';
  const kept = `${text.slice(0, end)}${comma}${text.slice(end, before)}`;
  return `${kept}${eol}${lines}${eol}${outer}${text.slice(closing)}`;
}

function eolOf(text: string): string {
  return /\r?\n/.exec(text)?.[0] ?? '\n';
}

/** White space that begins the line of an offset. */
function indentAt(text: string, offset: number): string {
  const start =
    Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1;
  return /^[ \t]*/.exec(text.slice(start, offset))?.[0] ?? '';
}

/** Where a comma comes next, after comments and white space; null where none does. */
function commaAfter(text: string, offset: number): number | null {
  const scanner = createScanner(text, true);
  scanner.setPosition(offset);
  scanner.scan();
  const next = scanner.getTokenOffset();
  return text[next] === ',' ? next : null;
}

/** The line, from 1, of each waiver, all found in one pass. */
export function waiverLines({ text, root }: HouseFile): number[] {
  let [line, counted] = [1, 0];
  return (findNodeAtLocation(root, ['waivers'])?.children ?? []).map(({ offset }) => {
    line += text.slice(counted, offset).match(/\r\n|\n|\r/g)?.length ?? 0;
    counted = offset;
    return line;
  });
}
