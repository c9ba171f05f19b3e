import { ASSET_LIMITS } from '../asset/limits.js';
import type { Io } from './io.js';

/** Standard input, to its end, to more than `most` bytes, or to a start that is not wanted. */
export async function readStdin(
  { stdin }: Io,
  most: number,
  isWanted: (start: Uint8Array) => boolean = () => true,
): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  let total = 0;
  for await (const part of stdin) {
    const bytes: Uint8Array = typeof part === 'string' ? Buffer.from(part) : part;
    parts.push(bytes);
    total += bytes.byteLength;
    if (total > most || (total === bytes.byteLength && !isWanted(bytes))) break;
  }
  return Buffer.concat(parts);
}

/** Standard input as far as it can be an asset: GLB, or JSON after white space or a byte order mark. */
export function readAsset(io: Io): Promise<Buffer> {
  return readStdin(io, ASSET_LIMITS.readBytes, (start) =>
    /^(glTF|\uFEFF?\s*[{[]|\s*$)/.test(Buffer.from(start.subarray(0, 64)).toString('utf8')),
  );
}
