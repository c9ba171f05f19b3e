import type { ParseError } from 'jsonc-parser';
import type { ByteSource } from './byte-source.js';
import { AssetError } from './errors.js';
import { type Guard, NO_GUARD } from './guard.js';
import { ASSET_LIMITS } from './limits.js';
import { lineAndColumn } from './text-position.js';

/** The JSON of an asset and where its binary chunk is. */
export interface Container {
  readonly kind: 'glb' | 'gltf';
  /** Length of the whole file. */
  readonly bytes: number;
  readonly json: unknown;
  /** The JSON as text, kept for a `.gltf` only, where people read it. */
  readonly text: string | null;
  /** Byte range of the JSON in the file. */
  readonly jsonBytes: ByteRange;
  /** Byte range of the GLB's binary chunk. */
  readonly binaryChunk: ByteRange | null;
}

export interface ByteRange {
  readonly offset: number;
  readonly length: number;
}

const MAGIC = 0x46546c67;
const CHUNK_JSON = 0x4e4f534a;
const CHUNK_BIN = 0x004e4942;

/** As bytes: `EF BB BF`. */
const BYTE_ORDER_MARK = /^\xef\xbb\xbf/;

/**
 * Reads the header and the JSON chunk of a GLB, or the whole text of a `.gltf`; the first bytes
 * decide which of the two it is, not the name. Layout: glTF 2.0, 4.4 Binary glTF Layout.
 */
export async function readContainer(
  source: ByteSource,
  guard: Guard = NO_GUARD,
): Promise<Container> {
  if (source.size === 0) throw new AssetError('the file is empty');
  const head = new Uint8Array(Math.min(20, source.size));
  source.readInto(head, 0);
  const view = new DataView(head.buffer);
  if (head.byteLength >= 4 && view.getUint32(0, true) === MAGIC)
    return readGlb(source, view, guard);
  const start = Buffer.from(head).toString('latin1').replace(BYTE_ORDER_MARK, '');
  if (/^[ \t\r\n]*[^{[ \t\r\n]/.test(start))
    throw new AssetError(
      'this is not a glTF file: it begins with neither "glTF" nor "{"',
      'byte 0',
    );
  const jsonBytes = { offset: 0, length: source.size };
  const text = readText(source, jsonBytes, guard);
  const json = await parseJson(text);
  return { kind: 'gltf', bytes: source.size, json, text, jsonBytes, binaryChunk: null };
}

async function readGlb(source: ByteSource, view: DataView, guard: Guard): Promise<Container> {
  if (view.byteLength < 20)
    throw new AssetError('the GLB header is cut off', `byte ${view.byteLength}`);
  const version = view.getUint32(4, true);
  if (version !== 2)
    throw new AssetError(`GLB version ${version} is not supported; only version 2 is`, 'byte 4');
  const total = view.getUint32(8, true);
  if (total !== source.size)
    throw new AssetError(
      `the GLB header says ${total} bytes, the file has ${source.size}`,
      'byte 8',
    );
  const jsonBytes = { offset: 20, length: view.getUint32(12, true) };
  if (view.getUint32(16, true) !== CHUNK_JSON)
    throw new AssetError('the first chunk is not JSON', 'byte 16');
  if (jsonBytes.offset + jsonBytes.length > total)
    throw new AssetError(
      `the JSON chunk of ${jsonBytes.length} bytes runs past the end of the file`,
      'byte 12',
    );
  const json = await parseJson(readText(source, jsonBytes, guard));
  const binaryChunk = findBinaryChunk(source, jsonBytes, total);
  return { kind: 'glb', bytes: total, json, text: null, jsonBytes, binaryChunk };
}

function findBinaryChunk(source: ByteSource, json: ByteRange, total: number): ByteRange | null {
  const start = json.offset + json.length;
  if (start === total) return null;
  if (start + 8 > total)
    throw new AssetError('the header of the second chunk is cut off', `byte ${start}`);
  const head = new Uint8Array(8);
  source.readInto(head, start);
  const view = new DataView(head.buffer);
  const length = view.getUint32(0, true);
  if (start + 8 + length > total)
    throw new AssetError(
      `the second chunk of ${length} bytes runs past the end of the file`,
      `byte ${start}`,
    );
  // Chunks of other types are to be ignored (glTF 2.0, 4.4.3.1).
  return view.getUint32(4, true) === CHUNK_BIN ? { offset: start + 8, length } : null;
}

function readText(source: ByteSource, range: ByteRange, guard: Guard): string {
  if (range.length > ASSET_LIMITS.jsonBytes)
    throw new AssetError(`${range.length} bytes of JSON are more than can be read`);
  guard.expect('jsonBytes', range.length);
  const bytes = Buffer.allocUnsafe(range.length);
  source.readInto(bytes, range.offset);
  const text = bytes.toString('utf8');
  return text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
}

async function parseJson(text: string): Promise<unknown> {
  try {
    return JSON.parse(text);
  } catch {
    // Only now is it worth loading a parser that knows where it stopped.
    const { parseTree, printParseErrorCode } = await import('jsonc-parser');
    const errors: ParseError[] = [];
    try {
      parseTree(text, errors, { disallowComments: true });
    } catch {
      throw new AssetError('the JSON is nested too deeply');
    }
    const [first] = errors;
    if (first === undefined) throw new AssetError('the JSON cannot be parsed');
    const { line, column } = lineAndColumn(text, first.offset);
    const words = printParseErrorCode(first.error).replace(/(?<=[a-z])(?=[A-Z])/g, ' ');
    throw new AssetError(
      `the JSON is broken: ${words.toLowerCase()}`,
      `line ${line}, column ${column}`,
    );
  }
}
