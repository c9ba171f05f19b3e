import { applyEdits, createScanner, type Edit, findNodeAtLocation } from 'jsonc-parser';
import type { HouseFile } from '../standard/house-file.js';
import { schemaLine } from '../standard/schema-line.js';
import type { WaiverText } from './ledger.js';

/** A ledger without a waiver, with what goes into it. */
export const STARTING_LEDGER = `// Findings that this house lets stand. Read by "trysquare check" from the folder it runs in or any
// above; written by hand or by "trysquare waive".
{
  ${schemaLine('waivers')}

  // A waiver: { "rule": "axis.up", "asset": "puppets/heron*.glb", "joint": "body/neck",
  //   "why": "...", "by": "...", "until": "2031-05-01" }
  // The asset is relative to this folder. Without a joint, it covers all of the asset; without a
  // last day (UTC), it has no end.
  "waivers": []
}
`;

/**
 * The text with waivers added at the end of its list, one a line; all else, comments and order
 * included, stays as it is. The library's own way of adding is not used: it puts a new item before
 * the comment that stands behind the last one, which then speaks of the wrong waiver.
 *
 * @param file A ledger that has been read, so that its list is there.
 */
export function withWaivers(file: HouseFile, added: readonly WaiverText[]): string {
  const { text, root } = file;
  const list = findNodeAtLocation(root, ['waivers']);
  if (list === undefined || added.length === 0) return text;
  const eol = /\r?\n/.exec(text)?.[0] ?? '\n';
  const outer = indentAt(text, list.offset);
  const last = list.children?.at(-1);
  const closing = list.offset + list.length - 1;
  // A list on lines of its own shows how far they are indented.
  const shown = last === undefined ? '' : indentAt(text, last.offset);
  const inner = shown.length > outer.length ? shown : `${outer}  `;
  const lines = added.map((waiver) => `${inner}${waiverLine(waiver)}`).join(`,${eol}`);
  const before = text.slice(0, closing).trimEnd().length;
  const edits: Edit[] = [
    { offset: before, length: closing - before, content: `${eol}${lines}${eol}${outer}` },
  ];
  if (last !== undefined && !hasComma(text, last.offset + last.length))
    edits.unshift({ offset: last.offset + last.length, length: 0, content: ',' });
  return applyEdits(text, edits);
}

/** White space that begins the line of an offset. */
function indentAt(text: string, offset: number): string {
  const line =
    text
      .slice(0, offset)
      .split(/[\r\n]/)
      .at(-1) ?? '';
  return /^[ \t]*/.exec(line)?.[0] ?? '';
}

/** Whether a comma comes next, after comments and white space. */
function hasComma(text: string, offset: number): boolean {
  const scanner = createScanner(text, true);
  scanner.setPosition(offset);
  scanner.scan();
  return text[scanner.getTokenOffset()] === ',';
}

/** One waiver as a line of JSON, what it does not say left out. */
export function waiverLine({ rule, asset, joint, why, by, until }: WaiverText): string {
  const pairs = Object.entries({ rule, asset, joint, why, by, until }).flatMap(([key, value]) =>
    value === null ? [] : [`"${key}": ${escaped(value)}`],
  );
  return `{ ${pairs.join(', ')} }`;
}

/** JSON allows controls that terminals obey and editors hide; they are escaped as JSON escapes. */
function escaped(value: string): string {
  return JSON.stringify(value).replace(
    /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

/** The line, from 1, of each waiver, all found in one pass. */
export function waiverLines({ text, root }: HouseFile): number[] {
  let [line, at] = [1, 0];
  return (findNodeAtLocation(root, ['waivers'])?.children ?? []).map(({ offset }) => {
    line += text.slice(at, offset).match(/\r\n|\n|\r/g)?.length ?? 0;
    at = offset;
    return line;
  });
}
