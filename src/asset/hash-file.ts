import { type ByteSource, openFile } from './byte-source.js';
import { sha256 } from './crypto.js';

const BLOCK = 1 << 20;

/** SHA-256 of a file in lower-case hexadecimal. Throws AssetError. */
export function hashFile(path: string): string {
  const source = openFile(path);
  try {
    return hashSource(source);
  } finally {
    source.close();
  }
}

/** The same of an open source, a block at a time. */
export function hashSource(source: ByteSource): string {
  const hash = sha256();
  const block = Buffer.allocUnsafe(Math.min(BLOCK, source.size));
  for (let offset = 0; offset < source.size; offset += BLOCK) {
    const part = block.subarray(0, Math.min(BLOCK, source.size - offset));
    source.readInto(part, offset);
    hash.update(part);
  }
  return hash.digest('hex');
}

/** SHA-256 of bytes in memory, in lower-case hexadecimal. */
export function hashBytes(bytes: Uint8Array): string {
  return sha256().update(bytes).digest('hex');
}
