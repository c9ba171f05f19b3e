import { openFile } from '../../asset/byte-source.js';
import { readContainer } from '../../asset/container.js';
import { AssetError } from '../../asset/errors.js';
import { type Guard, NO_GUARD } from '../../asset/guard.js';
import { namesFiles } from '../../batch/content-key.js';
import { isRecord } from '../../batch/file-stamps.js';
import type { GltfJson } from '../../mend/json/gltf-json.js';
import { urisIn } from '../../mend/json/uris.js';

/** Bytes of JSON that this process reads: more may take more memory than it has, and workers are bounded. */
const MOST_BYTES = 2 ** 24;

const SMALL: Guard = {
  ...NO_GUARD,
  expect(amount, count) {
    if (amount === 'jsonBytes' && count > MOST_BYTES)
      throw new AssetError('it is too long to plan by');
  },
};

/**
 * URIs of all files beside an asset that it names, read off its JSON alone; none where that is very long, or
 * cannot be read: mending it says why.
 */
export async function namedFiles(path: string): Promise<string[]> {
  let source: ReturnType<typeof openFile> | null = null;
  try {
    source = openFile(path);
    if (!namesFiles(source)) return [];
    const { json } = await readContainer(source, SMALL);
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
