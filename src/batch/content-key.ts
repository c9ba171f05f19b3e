import { dirname, resolve } from 'node:path';
import { openBufferUri } from '../asset/buffer-uri.js';
import { type ByteSource, openFile } from '../asset/byte-source.js';
import { readContainer } from '../asset/container.js';
import { sha256 } from '../asset/crypto.js';
import { AssetError } from '../asset/errors.js';
import { hashSource } from '../asset/hash-file.js';
import { type ContentKey, type FileStamp, isRecord, stampsOf } from './file-stamps.js';

/** What was hashed, and how the file system showed it before. */
export interface HashedContent extends ContentKey {
  /** The asset, then its buffers. Null where it changed meanwhile. */
  readonly files: readonly FileStamp[] | null;
}

/** Hashes an asset with its external buffers; null where one of them cannot be read. */
export function contentKey(path: string): Promise<HashedContent | null> {
  return readWith(path, async (source) => {
    const uris = await externalBuffers(source);
    const folder = dirname(path);
    const paths = [path, ...uris.map((uri) => resolve(folder, decodeURIComponent(uri)))];
    const before = stampsOf(paths);
    const file = hashSource(source);
    const all = sha256().update(file);
    for (const uri of uris) {
      const buffer = openBufferUri(uri, folder, '');
      try {
        all.update(JSON.stringify(uri)).update(hashSource(buffer));
      } finally {
        buffer.close();
      }
    }
    const after = stampsOf(paths);
    const same = after?.every(({ stamp }, at) => stamp === before?.[at]?.stamp) === true;
    return { file, all: all.digest('hex'), files: same ? before : null };
  });
}

/** The JSON text of a `.gltf`; null for a GLB, and where it cannot be read. */
export function jsonText(path: string): Promise<string | null> {
  return readWith(path, async (source) => (await readContainer(source)).text);
}

/** What is made of an asset's bytes; null where they cannot be read: checking it says why. */
async function readWith<T>(
  path: string,
  make: (from: ByteSource) => Promise<T>,
): Promise<T | null> {
  let source: ByteSource | null = null;
  try {
    source = openFile(path);
    return await make(source);
  } catch (error) {
    // The address of a buffer can be broken, too.
    if (error instanceof AssetError || error instanceof URIError) return null;
    throw error;
  } finally {
    source?.close();
  }
}

/** URIs of the buffers that lie in files of their own, in order. */
async function externalBuffers(source: ByteSource): Promise<string[]> {
  if (!namesFiles(source)) return [];
  const { json } = await readContainer(source);
  const buffers = isRecord(json) && Array.isArray(json.buffers) ? json.buffers : [];
  return buffers.flatMap((buffer: unknown) => {
    const uri = isRecord(buffer) ? buffer.uri : undefined;
    return typeof uri === 'string' && !/^data:/i.test(uri) ? [uri] : [];
  });
}

const GLB_HEAD = 20;
const GLB_MAGIC = 0x46546c67;

/** Whether an asset may name other files: most GLBs do not, which their JSON shows without being parsed. */
export function namesFiles(source: ByteSource): boolean {
  if (source.size < GLB_HEAD) return true;
  const head = Buffer.alloc(GLB_HEAD);
  source.readInto(head, 0);
  const length = head.readUInt32LE(12);
  if (head.readUInt32LE(0) !== GLB_MAGIC || GLB_HEAD + length > source.size) return true;
  const json = Buffer.alloc(length);
  source.readInto(json, GLB_HEAD);
  // A key can also be written with escapes.
  return json.includes('"uri"') || json.includes('\\u');
}
