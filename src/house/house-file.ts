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
import { AssetError, MachineError, UsageError } from '../asset/errors.js';
import { lineAndColumn } from '../asset/text-position.js';

/** What version control leaves in a file where two changes met. */
const CONFLICT = /^(<{7}|={7}|>{7})( |\r?$)/m;

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
  /** Throws a UsageError that names every place where a file does not fit its schema, as far as a line has room. */
  failSchema(errors: readonly ErrorObject[], wordsFor: (error: ErrorObject) => string): never;
}

/** Places that one line has room for. */
const MOST_PLACES = 5;

/** Errors that are looked up in the text, which takes longer the more there are. */
const MOST_ERRORS = 1000;

/**
 * The text of such a file. Throws UsageError when it cannot be read.
 *
 * @param what What it is and the path as the user knows it: `the standard house.json`.
 * @param longest Bytes it may have.
 */
export function readHouseText(path: string, what: string, longest: number): string {
  return readHouseBytes(path, what, longest).toString('utf8');
}

/** Its bytes, whatever letters they are. Throws UsageError when it cannot be read. */
export function readHouseBytes(path: string, what: string, longest: number): Buffer {
  let source: ByteSource | null = null;
  try {
    source = openFile(path);
    const { size } = source;
    if (size > longest)
      throw new AssetError(`${size} bytes are too many for this file (limit ${longest} bytes)`);
    const bytes = Buffer.alloc(size);
    source.readInto(bytes, 0);
    return bytes;
  } catch (error) {
    if (error instanceof MachineError) throw error;
    const reason = error instanceof AssetError ? error.reason : String(error);
    throw new UsageError(`${what} cannot be read: ${reason}`);
  } finally {
    source?.close();
  }
}

/**
 * Parses JSON with comments and trailing commas. Throws UsageError with the line of what is wrong, a key
 * that is there twice included: readers differ in which of two they take.
 */
export function parseHouseText(text: string, what: string): HouseFile {
  if (depthOf(text) > DEEPEST) throw new UsageError(`${what} is nested too deeply`);
  const place = (offset: number): string => {
    const { line, column } = lineAndColumn(text, offset);
    return `at line ${line}, column ${column}`;
  };
  const fail = (offset: number, message: string): never => {
    throw new UsageError(`${what} is wrong ${place(offset)}: ${message}`);
  };
  const errors: ParseError[] = [];
  // A byte order mark gives way to a space, so that offsets stay what they are.
  const root = parseTree(text.replace(/^\uFEFF/, ' '), errors, { allowTrailingComma: true });
  const [broken] = errors;
  if (broken !== undefined || root === undefined) {
    const conflict = text.search(CONFLICT);
    if (conflict !== -1)
      return fail(
        conflict,
        'two versions of this file were merged, and the conflict is still open; keep the lines you need and delete the marks (<<<<<<<, =======, >>>>>>>)',
      );
    const isEmpty = text.trim() === '' || broken === undefined;
    const code = isEmpty ? 'it is empty' : printParseErrorCode(broken.error);
    return fail(broken?.offset ?? 0, code.replace(/(?<=[a-z])(?=[A-Z])/g, ' ').toLowerCase());
  }
  refuseRepeats(root, fail);
  const failAt: HouseFile['failAt'] = (path, message) =>
    fail(findNodeAtLocation(root, [...path])?.offset ?? 0, message);
  const failSchema: HouseFile['failSchema'] = (errors, wordsFor) => {
    const [first, ...others] = faultsOf(root, errors);
    if (first === undefined) throw new UsageError(`${what} does not fit its schema`);
    if (others.length === 0) return fail(first.offset, wordsFor(first.error));
    const sentence = (error: ErrorObject): string => wordsFor(error).replace(/(?<!\.)$/, '.');
    const listed = others
      .slice(0, MOST_PLACES - 1)
      .map(({ offset, error }) => ` Also ${place(offset)}: ${sentence(error)}`);
    const more = others.length > listed.length ? ' There are more errors.' : '';
    return fail(first.offset, `${sentence(first.error)}${listed.join('')}${more}`);
  };
  return { text, root, value: getNodeValue(root), fail, failAt, failSchema };
}

/** What is wrong in the order of the text. A key that is not known explains what is missing beside it. */
function faultsOf(root: Node, all: readonly ErrorObject[]) {
  const errors = all.slice(0, MOST_ERRORS);
  const misspelt = new Set(errors.filter(isUnknownKey).map(({ instancePath }) => instancePath));
  const offsets = new Set<number>();
  const faults = errors.flatMap((error) => {
    const isMissing = error.keyword === 'required';
    if (isMissing && misspelt.has(error.instancePath)) return [];
    const offset = errorOffset(root, error);
    // Of one value one fault is enough; of an object, each key that it lacks.
    if (!isMissing && offsets.has(offset)) return [];
    offsets.add(offset);
    return [{ offset, error }];
  });
  return faults.sort((a, b) => a.offset - b.offset);
}

function refuseRepeats({ type, children = [] }: Node, fail: HouseFile['fail']): void {
  const keys = new Set<unknown>();
  for (const { children: [key] = [] } of type === 'object' ? children : []) {
    if (key !== undefined && keys.has(key.value))
      fail(key.offset, `"${brief(String(key.value))}" is given twice; remove one of them`);
    keys.add(key?.value);
  }
  for (const child of children) refuseRepeats(child, fail);
}

/** Letters of a value that a message has room for beside what to do. */
const MOST_LETTERS = 100;

/** A value as a message shows it. */
export function brief(text: string): string {
  return text.length > MOST_LETTERS ? `${text.slice(0, MOST_LETTERS)}...` : text;
}

/** Brackets open at once, counted token by token: those in names and comments open nothing. */
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
  const parts = pointer.split('/').slice(1);
  return parts.map((part) => part.replace(/~1/g, '/').replace(/~0/g, '~'));
}

/** Where a schema error is in the text; for a key that is not known, where the key is. */
function errorOffset(root: Node, error: ErrorObject): number {
  let node: Node | undefined = root;
  for (const key of pointerSegments(error.instancePath)) {
    const parent: Node | undefined = node;
    node = parent && findNodeAtLocation(parent, [parent.type === 'array' ? Number(key) : key]);
  }
  if (!isUnknownKey(error)) return node?.offset ?? 0;
  const key = String(error.params.additionalProperty);
  const property = node?.children?.find((child) => child.children?.[0]?.value === key);
  return property?.offset ?? node?.offset ?? 0;
}

function isUnknownKey({ keyword }: ErrorObject): boolean {
  return keyword === 'additionalProperties';
}

export function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}
