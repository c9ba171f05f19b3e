import { ASSET_LIMITS } from '../asset/limits.js';
import type { Io } from './io.js';

/** The first bytes of a GLB, or of JSON after white space or a byte order mark. */
function looksLikeAsset(bytes: Uint8Array): boolean {
  return /^(glTF|\uFEFF?\s*[{[]|\s*$)/.test(Buffer.from(bytes.subarray(0, 64)).toString('utf8'));
}

/** All of standard input, as far as it can be an asset. */
export async function readStdin(io: Io): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let total = 0;
  for await (const part of io.stdin) {
    const bytes = typeof part === 'string' ? Buffer.from(part) : part;
    parts.push(bytes);
    total += bytes.byteLength;
    // What cannot be an asset, or is too long for one, need not be taken in to the end.
    if (total === bytes.byteLength && !looksLikeAsset(bytes)) break;
    if (total > ASSET_LIMITS.readBytes) break;
  }
  return Buffer.concat(parts);
}
