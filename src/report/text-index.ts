import { type Node, parseTree } from 'jsonc-parser';
import type { Region } from 'sarif';

/** Finds lines and columns in one JSON text, which it has read through once. */
export interface TextIndex {
  /**
   * Where the value at a JSON pointer is, counted from 1, columns in UTF-16 code units, the end
   * exclusive. A pointer that leads nowhere gives the last value on its way that exists.
   */
  region(pointer: string): Region;
}

/**
 * Parses a JSON text and notes where its lines begin, so that a thousand look-ups cost one pass.
 * Lines end at LF, CR LF or CR, as everywhere in this tool.
 */
export function indexText(text: string): TextIndex {
  // Positions must not depend on a byte order mark (SARIF 3.30.2).
  const body = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
  const starts = lineStarts(body);
  const root = parsed(body);
  return {
    region(pointer) {
      if (root === undefined) return { startLine: 1, startColumn: 1 };
      const node = valueAt(root, pointer);
      const start = position(starts, node.offset);
      const from = { startLine: start.line, startColumn: start.column };
      // For a finding about all of the file, its first line says enough.
      if (node === root) return from;
      const end = position(starts, node.offset + node.length);
      return { ...from, endLine: end.line, endColumn: end.column };
    },
  };
}

function lineStarts(text: string): number[] {
  const starts = [0];
  for (const end of text.matchAll(/\r\n|\n|\r/g)) starts.push(end.index + end[0].length);
  return starts;
}

/** The last line that begins at or before the offset, by bisection. */
function position(starts: readonly number[], offset: number): { line: number; column: number } {
  let low = 0;
  let high = starts.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((starts[middle] ?? 0) <= offset) low = middle;
    else high = middle;
  }
  return { line: low + 1, column: offset - (starts[low] ?? 0) + 1 };
}

function parsed(text: string): Node | undefined {
  try {
    return parseTree(text, [], { disallowComments: true });
  } catch {
    // The parser recurses, so a text nested tens of thousands deep exhausts the stack.
    return undefined;
  }
}

/** Walks the tree itself, because of keys that occur twice: of those, JSON.parse keeps the last. */
function valueAt(root: Node, pointer: string): Node {
  let at = root;
  for (const token of pointerTokens(pointer)) {
    const next =
      at.type === 'array' ? itemAt(at, token) : at.type === 'object' ? property(at, token) : null;
    if (next == null) break;
    at = next;
  }
  return at;
}

function itemAt(array: Node, token: string): Node | undefined {
  return /^\d+$/.test(token) ? array.children?.[Number(token)] : undefined;
}

function property(object: Node, key: string): Node | undefined {
  return object.children?.findLast((child) => child.children?.[0]?.value === key)?.children?.[1];
}

/** The reference tokens of a JSON pointer (RFC 6901). */
export function pointerTokens(pointer: string): string[] {
  return pointer
    .split('/')
    .slice(1)
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
}
