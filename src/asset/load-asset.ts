import { dirname } from 'node:path';
import { type HeldFiles, openBufferUri } from './buffer-uri.js';
import { type ByteSource, fromMemory, openFile } from './byte-source.js';
import { checkRanges } from './check-ranges.js';
import { type Container, readContainer } from './container.js';
import { type Decoded, readAccessors } from './decode.js';
import { AssetError } from './errors.js';
import type { GltfDocument } from './gltf-types.js';
import { type Guard, NO_GUARD } from './guard.js';
import { parseDocument } from './parse-document.js';
import type { OpenedBuffer } from './read-plan.js';
import { wantedAccessors } from './wanted-accessors.js';

/** One asset, read: its document, the decoded accessors that the rig needs, and its container. */
export interface Asset {
  readonly document: GltfDocument;
  readonly decoded: Decoded;
  readonly container: Container;
}

/** Reads the rig of the asset at `path`. Throws AssetError when it cannot be read. */
export async function loadAssetFile(
  path: string,
  guard: Guard = NO_GUARD,
  also?: MoreAccessors,
): Promise<Asset> {
  const source = openFile(path);
  try {
    return await loadAsset(source, dirname(path), also, guard);
  } finally {
    source.close();
  }
}

/**
 * Reads the rig of an asset in memory.
 *
 * @param folder Where its external buffers are; null refuses them.
 * @param held External buffers that are not there yet.
 */
export function loadAssetBytes(
  bytes: Uint8Array,
  folder: string | null = null,
  also?: MoreAccessors,
  guard: Guard = NO_GUARD,
  held?: HeldFiles,
): Promise<Asset> {
  return loadAsset(fromMemory(bytes), folder, also, guard, held);
}

/** Chooses accessors to be decoded besides those that the rig needs, from JSON that was parsed. */
export type MoreAccessors = (json: unknown) => readonly number[];

/** The same from any source of bytes, which is left open. */
export async function loadAsset(
  source: ByteSource,
  folder: string | null,
  also?: MoreAccessors,
  guard: Guard = NO_GUARD,
  held?: HeldFiles,
): Promise<Asset> {
  const container = await readContainer(source, guard);
  const document = guard.run(() => parseDocument(container.json));
  guard.expect('nodes', document.nodes.length);
  const needed = wantedAccessors(document);
  const accessors = new Set([...needed.accessors, ...(also?.(container.json) ?? [])]);
  const wanted = { ...needed, accessors: [...accessors].sort((a, b) => a - b) };
  if (wanted.accessors.length === 0) return { document, decoded: new Map(), container };
  guard.expect('decodedBytes', checkRanges(document, wanted));
  const opened = new Map<number, OpenedBuffer>();
  const open = (index: number): OpenedBuffer => {
    const buffer =
      opened.get(index) ?? openBuffer(document, index, source, container, { folder, held });
    opened.set(index, buffer);
    return buffer;
  };
  try {
    return { document, decoded: await readAccessors(document, wanted, open), container };
  } finally {
    for (const buffer of opened.values()) if (buffer.source !== source) buffer.source.close();
  }
}

/** Opens a buffer; the length that it should have is checked against what is there. */
function openBuffer(
  document: GltfDocument,
  index: number,
  file: ByteSource,
  container: Container,
  { folder, held }: { folder: string | null; held: HeldFiles | undefined },
): OpenedBuffer {
  const buffer = document.buffers[index];
  const where = `/buffers/${index}`;
  if (buffer === undefined) throw new AssetError(`there is no buffer ${index}`, where);
  let source = file;
  let range = container.binaryChunk;
  if (buffer.uri !== null) {
    source = openBufferUri(buffer.uri, folder, `${where}/uri`, held);
    range = { offset: 0, length: source.size };
  } else if (index !== 0 || range === null)
    // glTF 2.0, 4.4.3.3: only the first buffer can refer to the GLB's binary chunk.
    throw new AssetError('the buffer has no URI, and there is no binary chunk for it', where);
  const { offset, length } = range;
  if (buffer.byteLength <= length) return { source, offset };
  if (source !== file) source.close();
  throw new AssetError(
    `the buffer should have ${buffer.byteLength} bytes, but it has ${length}`,
    where,
  );
}
