import { openFile } from '../../asset/byte-source.js';
import { readContainer } from '../../asset/container.js';
import { AssetError } from '../../asset/errors.js';
import { namesFiles } from '../../batch/content-key.js';
import { isRecord } from '../../batch/file-stamps.js';
import type { GltfJson } from '../../mend/json/gltf-json.js';
import { urisIn } from '../../mend/json/uris.js';

/**
 * URIs of all files beside an asset that it names, read off its JSON alone; none where that cannot be read:
 * mending it says why.
 */
export async function namedFiles(path: string): Promise<string[]> {
  let source: ReturnType<typeof openFile> | null = null;
  try {
    source = openFile(path);
    if (!namesFiles(source)) return [];
    const { json } = await readContainer(source);
    return isRecord(json) ? urisIn(plausible(json)) : [];
  } catch (error) {
    if (error instanceof AssetError) return [];
    throw error;
  } finally {
    source?.close();
  }
}

/** What of a JSON object can name files, whatever else is wrong with it. */
function plausible(json: Readonly<Record<string, unknown>>): GltfJson {
  const listed = (value: unknown): unknown[] =>
    Array.isArray(value) ? value.filter((one) => isRecord(one) && isUri(one.uri)) : [];
  // Of lists only the items are kept whose URI is a text, and nothing else is looked at.
  return {
    ...json,
    buffers: listed(json.buffers),
    images: listed(json.images),
  } as unknown as GltfJson;
}

function isUri(value: unknown): boolean {
  return typeof value === 'string';
}
