import { type Asset, loadAssetBytes } from '../../asset/load-asset.js';
import { type Files, glbOf, PLAIN_DATA } from '../file/pack-files.js';
import type { GltfJson } from '../json/gltf-json.js';
import { KeptJson } from '../json/kept-json.js';
import { lookAccessors } from './looks.js';

/** Opens what an edit gives, as a check would. External buffers that did not change come from `folder`. */
export async function reload({ main, buffers }: Files, folder: string | null): Promise<Asset> {
  if (buffers.size === 0) return loadAssetBytes(main, folder, lookAccessors);
  // Changed buffers are handed over within the JSON, since they are in no file yet.
  const { text, binary } = unpack(Buffer.from(main));
  const kept = await KeptJson.parse(text);
  // What was packed here is a document.
  const json = kept.json as GltfJson;
  for (const buffer of json.buffers ?? []) {
    const bytes =
      buffer.uri === undefined || /^data:/i.test(buffer.uri)
        ? undefined
        : buffers.get(decodeURIComponent(buffer.uri));
    if (bytes !== undefined) buffer.uri = `${PLAIN_DATA}${Buffer.from(bytes).toString('base64')}`;
  }
  const written = kept.write(json);
  const bytes = binary === null ? Buffer.from(written) : glbOf(written, binary);
  return loadAssetBytes(bytes, folder, lookAccessors);
}

/** The JSON of what `files` wrote, and the binary chunk of a GLB. */
function unpack(main: Buffer): { text: string; binary: Buffer | null } {
  if (main.toString('latin1', 0, 4) !== 'glTF')
    return { text: main.toString('utf8'), binary: null };
  const length = main.readUInt32LE(12);
  const text = main.toString('utf8', 20, 20 + length);
  return { text, binary: main.subarray(28 + length) };
}
