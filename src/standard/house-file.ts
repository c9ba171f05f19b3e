import type { ErrorObject } from 'ajv';
import {
  createScanner,
  findNodeAtLocation,
  getNodeValue,
  type Node,
  type ParseError,
  parseTree,
  printParseErrorCode,
} from 'jsonc-parser';
import { type ByteSource, openFile } from '../asset/byte-source.js';
import { AssetError, UsageError } from '../asset/errors.js';
import { lineAndColumn } from '../asset/text-position.js';

/** Brackets within brackets: a file of ours has four at most. */
const DEEPEST = 64;

/** A file that a house keeps for its checks, once it is known to be JSON with comments. */
export interface HouseFile {
  readonly text: string;
  readonly root: Node;
  readonly value: unknown;
  /** Throws a UsageError that names the line and column of a character. */
  fail(offset: number, message: string): never;
  /** The same for the value at a path of keys and indices. */
  failAt(path: readonly (string | number)[], message: string): never;
}

/**
 * The text of such a file. Throws UsageError when it cannot be read.
 *
 * @param what What it is and the path as the user knows it: `the standard house.json`.
 * @param longest Bytes it may have.
 */
export function readHouseText(path: string, what: string, longest: number): string {
  let source: ByteSource | null = null;
  try {
    source = openFile(path);
    if (source.size > longest)
      throw new AssetError(
        `${source.size} bytes are too many for such a file (limit ${longest} bytes)`,
      );
    const bytes = Buffer.alloc(source.size);
    source.readInto(bytes, 0);
    return bytes.toString('utf8');
  } catch (error) {
    const reason = error instanceof AssetError ? error.reason : String(error);
    throw new UsageError(`${what} cannot be read: ${reason}`);
  } finally {
    source?.close();
  }
}

/** Parses JSON with comments and trailing commas. Throws UsageError with the line of what is wrong. */
export function parseHouseText(text: string, what: string): HouseFile {
  if (depthOf(text) > DEEPEST) throw new UsageError(`${what} is nested too deeply`);
  const fail = (offset: number, message: string): never => {
    const { line, column } = lineAndColumn(text, offset);
    throw new UsageError(`${what} is wrong at line ${line}, column ${column}: ${message}`);
  };
  const errors: ParseError[] = [];
  // A byte order mark gives way to a space, so that offsets stay what they are.
  const root = parseTree(text.replace(/^\uFEFF/, ' '), errors, { allowTrailingComma: true });
  const broken = errors[0];
  if (broken !== undefined || root === undefined) {
    const code =
      text.trim() === '' || broken === undefined
        ? 'it is empty'
        : printParseErrorCode(broken.error);
    return fail(broken?.offset ?? 0, code.replace(/(?<=[a-z])(?=[A-Z])/g, ' ').toLowerCase());
  }
  const failAt = (path: readonly (string | number)[], message: string): never =>
    fail(findNodeAtLocation(root, [...path])?.offset ?? 0, message);
  return { text, root, value: getNodeValue(root), fail, failAt };
}

/** Brackets open at once, told token by token: those in names and comments open nothing. */
function depthOf(text: string): number {
  const scanner = createScanner(text, true);
  let [depth, deepest] = [0, 0];
  while (scanner.getPosition() < text.length) {
    scanner.scan();
    // A string begins with its quote, so that a bracket here is one.
    const letter = text[scanner.getTokenOffset()];
    if (letter === '[' || letter === '{') deepest = Math.max(deepest, ++depth);
    else if (letter === ']' || letter === '}') depth--;
  }
  return deepest;
}

/** The keys and indices of a JSON pointer (RFC 6901). */
export function pointerSegments(pointer: string): string[] {
  return pointer
    .split('/')
    .slice(1)
    .map((part) => part.replace(/~1/g, '/').replace(/~0/g, '~'));
}

/** Where a schema error is in the text; for a key that is not known, where the key is. */
export function errorOffset(root: Node, error: ErrorObject): number {
  let at: Node | undefined = root;
  for (const key of pointerSegments(error.instancePath)) {
    const parent: Node | undefined = at;
    at = parent && findNodeAtLocation(parent, [parent.type === 'array' ? Number(key) : key]);
  }
  if (error.keyword !== 'additionalProperties') return at?.offset ?? 0;
  const key = String(error.params.additionalProperty);
  const property = at?.children?.find((child) => child.children?.[0]?.value === key);
  return property?.offset ?? at?.offset ?? 0;
}

export function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}
