import { type Asset, loadAssetBytes } from '../../asset/load-asset.js';
import { type Files, glbOf, PLAIN_DATA } from '../file/pack-files.js';
import type { GltfJson } from '../json/gltf-json.js';
import { KeptJson } from '../json/kept-json.js';
import { lookAccessors } from './looks.js';

/** Opens what an edit gives, as a check would. External buffers that did not change come from `folder`. */
export async function reload({ main, buffers }: Files, folder: string | null): Promise<Asset> {
  if (buffers.size === 0) return loadAssetBytes(main, folder, lookAccessors);
  // Changed buffers are passed within the JSON, since they are in no file yet.
  const whole = Buffer.from(main);
  const isGlb = whole.toString('latin1', 0, 4) === 'glTF';
  const [start, end] = isGlb ? [20, 20 + whole.readUInt32LE(12)] : [0, whole.byteLength];
  const kept = await KeptJson.parse(whole.toString('utf8', start, end));
  // What was packed here is a document.
  const json = kept.json as GltfJson;
  for (const buffer of json.buffers ?? []) {
    if (buffer.uri === undefined || /^data:/i.test(buffer.uri)) continue;
    const bytes = buffers.get(decodeURIComponent(buffer.uri));
    if (bytes !== undefined) buffer.uri = `${PLAIN_DATA}${Buffer.from(bytes).toString('base64')}`;
  }
  const text = kept.write(json);
  const bytes = isGlb ? glbOf(text, whole.subarray(end + 8)) : Buffer.from(text);
  return loadAssetBytes(bytes, folder, lookAccessors);
}
