import { openBufferUri } from '../../asset/buffer-uri.js';
import type { ByteSource } from '../../asset/byte-source.js';
import { type ByteRange, readContainer } from '../../asset/container.js';
import { AssetError } from '../../asset/errors.js';
import { loadAsset } from '../../asset/load-asset.js';
import type { GltfJson } from '../json/gltf-json.js';
import { KeptJson } from '../json/kept-json.js';
import { isFallback } from '../json/packing.js';
import { refuseIncomplete } from '../json/required-parts.js';
import { Unpacking } from '../packing/packing-undone.js';

/** What is read of a file to write it again. */
export type Parts = Awaited<ReturnType<typeof readParts>>;

/**
 * Reads an asset whole.
 *
 * @param folder Where its external buffers are; null refuses them.
 * @param pack Whether what has to be unpacked is to be packed again.
 * @throws AssetError when it cannot be read.
 */
export async function readParts(source: ByteSource, folder: string | null, pack: boolean) {
  const asset = await loadAsset(source, folder);
  const container = await readContainer(source);
  const { jsonBytes, binaryChunk } = container;
  const kept = await KeptJson.parse(bytesOf(source, jsonBytes).toString('utf8'));
  refuseIncomplete(kept.json);
  // That it was loaded as an asset has shown that it is one.
  const json = kept.json as GltfJson;
  const uris = (json.buffers ?? []).flatMap(({ uri }) =>
    uri === undefined || /^data:/i.test(uri) ? [] : [uri],
  );
  if (new Set(uris).size < uris.length)
    throw new AssetError(
      'two of its buffers use the same file; give each buffer its own file, then mend the asset',
    );
  // The binary chunk of a GLB, whole.
  const chunk = binaryChunk === null ? null : bytesOf(source, binaryChunk);
  // Null for those that hold no bytes.
  const buffers = (json.buffers ?? []).map((buffer, index): Buffer | null => {
    const { uri, byteLength } = buffer;
    if (uri === undefined) {
      const isChunk = index === 0 && chunk !== null && byteLength <= chunk.byteLength;
      if (!isChunk && !isFallback(buffer))
        throw new AssetError('the buffer has no bytes', `/buffers/${index}`);
      return isChunk ? chunk.subarray(0, byteLength) : null;
    }
    const file = openBufferUri(uri, folder, `/buffers/${index}/uri`);
    try {
      if (file.size < byteLength)
        throw new AssetError(
          `the buffer should have ${byteLength} bytes, but it has ${file.size}`,
          `/buffers/${index}`,
        );
      return bytesOf(file, { offset: 0, length: byteLength });
    } finally {
      file.close();
    }
  });
  // What a GLB has behind its binary chunk.
  const last = binaryChunk ?? jsonBytes;
  const end = last.offset + last.length;
  const others = bytesOf(source, { offset: end, length: source.size - end });
  const { decodeDraco } = await import('../packing/packing-draco.js');
  const draco = await decodeDraco(asset.document, buffers);
  const unpacking = await Unpacking.of(json, buffers, pack);
  return { asset, container, kept, json, buffers, chunk, others, draco, unpacking };
}

function bytesOf(source: ByteSource, { offset, length }: ByteRange): Buffer {
  const bytes = Buffer.alloc(length);
  source.readInto(bytes, offset);
  return bytes;
}
