import { type Node, parseTree } from 'jsonc-parser';
import type { Region } from 'sarif';
import { pointerSegments } from '../house/house-file.js';

/**
 * Finds lines and columns in one JSON text, which it reads through once, so that a thousand look-ups
 * cost one pass. Lines end at LF, CR LF or CR, as everywhere in this tool.
 */
export class TextIndex {
  readonly #starts = [0];
  readonly #root: Node | undefined;

  constructor(text: string) {
    // Positions must not depend on a byte order mark (SARIF 3.30.2).
    const body = text.replace(/^\ufeff/, '');
    for (const { index, 0: end } of body.matchAll(/\r\n|\n|\r/g))
      this.#starts.push(index + end.length);
    try {
      this.#root = parseTree(body, [], { disallowComments: true });
    } catch {
      // The parser recurses, so a text nested tens of thousands deep exhausts the stack.
    }
  }

  /**
   * Where the value at a JSON pointer is, counted from 1, columns in UTF-16 code units, the end
   * exclusive. A pointer that leads nowhere gives the last value on its way that exists.
   */
  region(pointer: string): Region {
    if (this.#root === undefined) return { startLine: 1, startColumn: 1 };
    const node = valueAt(this.#root, pointer);
    const [startLine, startColumn] = this.#position(node.offset);
    // For a finding about all of the file, its first line says enough.
    if (node === this.#root) return { startLine, startColumn };
    const [endLine, endColumn] = this.#position(node.offset + node.length);
    return { startLine, startColumn, endLine, endColumn };
  }

  /** Line and column: the last line that begins at or before the offset, by bisection. */
  #position(offset: number): [line: number, column: number] {
    let [low, high] = [0, this.#starts.length];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((this.#starts[middle] ?? 0) <= offset) low = middle;
      else high = middle;
    }
    return [low + 1, offset - (this.#starts[low] ?? 0) + 1];
  }
}

/** Walks the tree itself, because of keys that occur twice: of those, JSON.parse keeps the last. */
function valueAt(root: Node, pointer: string): Node {
  let value = root;
  for (const key of pointerSegments(pointer)) {
    const index = /^\d+$/.test(key) ? Number(key) : -1;
    const next = value.type === 'array' ? value.children?.[index] : property(value, key);
    if (next === undefined) break;
    value = next;
  }
  return value;
}

function property({ children }: Node, key: string): Node | undefined {
  return children?.findLast((child) => child.children?.[0]?.value === key)?.children?.[1];
}
