import { createHash } from 'node:crypto';
import { dirname, resolve } from 'node:path';
import { openBufferUri } from '../asset/buffer-uri.js';
import { type ByteSource, openFile } from '../asset/byte-source.js';
import { readContainer } from '../asset/container.js';
import { AssetError } from '../asset/errors.js';
import { hashSource } from '../asset/hash-file.js';
import { type ContentKey, type FileStamp, stampsOf } from './file-stamps.js';

/** What was hashed, and how the file system showed it before. */
export interface HashedContent extends ContentKey {
  /** The asset, then its buffers. Null where it changed meanwhile. */
  readonly files: readonly FileStamp[] | null;
}

/** Hashes an asset with its external buffers; null where one of them cannot be read. */
export async function contentKey(path: string): Promise<HashedContent | null> {
  try {
    const source = openFile(path);
    try {
      const uris = await externalBuffers(source);
      const paths = [path, ...uris.map((uri) => resolve(dirname(path), decodeURIComponent(uri)))];
      const before = stampsOf(paths);
      const file = hashSource(source);
      const all = createHash('sha256').update(file);
      for (const uri of uris) {
        const buffer = openBufferUri(uri, dirname(path), '');
        try {
          all.update(JSON.stringify(uri)).update(hashSource(buffer));
        } finally {
          buffer.close();
        }
      }
      const after = stampsOf(paths);
      const same = after?.every(({ stamp }, at) => stamp === before?.[at]?.stamp) === true;
      return { file, all: all.digest('hex'), files: same ? before : null };
    } finally {
      source.close();
    }
  } catch (error) {
    // An asset that cannot be read has no key; checking it says why. An address can be broken, too.
    if (error instanceof AssetError || error instanceof URIError) return null;
    throw error;
  }
}

/** The JSON text of a `.gltf`; null for a GLB, and where it cannot be read. */
export async function jsonText(path: string): Promise<string | null> {
  try {
    const source = openFile(path);
    try {
      return (await readContainer(source)).text;
    } finally {
      source.close();
    }
  } catch (error) {
    if (error instanceof AssetError) return null;
    throw error;
  }
}

/** URIs of the buffers that lie in files of their own, in order. */
async function externalBuffers(source: ByteSource): Promise<string[]> {
  if (!(await mayRefer(source))) return [];
  const { json } = await readContainer(source);
  const buffers = isRecord(json) && Array.isArray(json.buffers) ? json.buffers : [];
  return buffers.flatMap((buffer: unknown) => {
    const uri = isRecord(buffer) ? buffer.uri : undefined;
    return typeof uri === 'string' && !/^data:/i.test(uri) ? [uri] : [];
  });
}

const GLB_HEAD = 20;
const GLB_MAGIC = 0x46546c67;

/** Most GLBs name no other file, which their JSON shows without being parsed. */
async function mayRefer(source: ByteSource): Promise<boolean> {
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

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null;
}
