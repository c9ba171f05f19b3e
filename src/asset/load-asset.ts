import { dirname } from 'node:path';
import { openBufferUri } from './buffer-uri.js';
import { type ByteSource, fromMemory, openFile } from './byte-source.js';
import { checkRanges, decodedBytes } from './check-ranges.js';
import { type Container, readContainer } from './container.js';
import { type Decoded, readAccessors } from './decode.js';
import { AssetError } from './errors.js';
import type { GltfDocument } from './gltf-types.js';
import { type Guard, NO_GUARD } from './guard.js';
import { parseDocument } from './parse-document.js';
import { type Wanted, wantedAccessors } from './wanted-accessors.js';

/** One asset, read: its document, the decoded accessors that the rig needs, and its container. */
export interface Asset {
  readonly document: GltfDocument;
  readonly decoded: Decoded;
  readonly container: Container;
}

/** Reads the rig of the asset at `path`. Throws AssetError when it cannot be read. */
export async function loadAssetFile(path: string, guard: Guard = NO_GUARD): Promise<Asset> {
  const source = openFile(path);
  try {
    return await loadAsset(source, dirname(path), undefined, guard);
  } finally {
    source.close();
  }
}

/**
 * Reads the rig of an asset in memory.
 *
 * @param folder Where its external buffers are; null refuses them.
 */
export function loadAssetBytes(
  bytes: Uint8Array,
  folder: string | null = null,
  also?: MoreAccessors,
  guard: Guard = NO_GUARD,
): Promise<Asset> {
  return loadAsset(fromMemory(bytes), folder, also, guard);
}

/** Chooses accessors to be decoded besides those that the rig needs, from the JSON of an asset that was parsed. */
export type MoreAccessors = (json: unknown) => readonly number[];

/** The same from any source of bytes, which is left open. */
export async function loadAsset(
  source: ByteSource,
  folder: string | null,
  also?: MoreAccessors,
  guard: Guard = NO_GUARD,
): Promise<Asset> {
  const container = await readContainer(source, guard);
  const document = guard.run(() => parseDocument(container.json));
  guard.expect('nodes', document.nodes.length);
  const wanted = withMore(wantedAccessors(document), also?.(container.json) ?? []);
  if (wanted.accessors.length === 0) return { document, decoded: new Map(), container };
  checkRanges(document, wanted);
  guard.expect('decodedBytes', decodedBytes(document, wanted));
  const opened = new Map<number, { source: ByteSource; offset: number }>();
  const open = (buffer: number): { source: ByteSource; offset: number } => {
    const known = opened.get(buffer);
    if (known !== undefined) return known;
    const fresh = openBuffer(document, buffer, source, container, folder);
    opened.set(buffer, fresh);
    return fresh;
  };
  try {
    return { document, decoded: await readAccessors(document, wanted, open), container };
  } finally {
    for (const item of opened.values()) if (item.source !== source) item.source.close();
  }
}

function withMore(wanted: Wanted, more: readonly number[]): Wanted {
  if (more.length === 0) return wanted;
  const accessors = [...new Set([...wanted.accessors, ...more])].sort((a, b) => a - b);
  return { ...wanted, accessors };
}

/** The bytes of a buffer; its announced length is checked against what is there. */
function openBuffer(
  document: GltfDocument,
  index: number,
  file: ByteSource,
  container: Container,
  folder: string | null,
): { source: ByteSource; offset: number } {
  const buffer = document.buffers[index];
  const where = `/buffers/${index}`;
  if (buffer === undefined) throw new AssetError(`there is no buffer ${index}`, where);
  const check = (length: number): void => {
    if (buffer.byteLength > length) {
      throw new AssetError(
        `the buffer should have ${buffer.byteLength} bytes, but it has ${length}`,
        where,
      );
    }
  };
  if (buffer.uri === null) {
    // glTF 2.0, 4.4.3.3: only the first buffer can refer to the GLB's binary chunk.
    if (index !== 0 || container.binaryChunk === null) {
      throw new AssetError('the buffer has no URI, and there is no binary chunk for it', where);
    }
    check(container.binaryChunk.length);
    return { source: file, offset: container.binaryChunk.offset };
  }
  const source = openBufferUri(buffer.uri, folder, `${where}/uri`);
  try {
    check(source.size);
  } catch (error) {
    source.close();
    throw error;
  }
  return { source, offset: 0 };
}
