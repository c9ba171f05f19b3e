import { closeSync, lstatSync, openSync, readSync, statSync } from 'node:fs';

/** Bytes of each file that are compared at once. */
const STRETCH = 1 << 18;

/**
 * Whether a regular file, and no link to one, is there already with the same content. False also where
 * that cannot be found out: writing it then says why.
 */
export function holdsSame(
  path: string,
  content: Uint8Array | { readonly copyOf: string },
): boolean {
  try {
    const stats = lstatSync(path, { throwIfNoEntry: false });
    if (stats?.isFile() !== true) return false;
    if (content instanceof Uint8Array)
      return stats.size === content.byteLength && isAlike(path, stats.size, fromBytes(content));
    if (stats.size !== statSync(content.copyOf).size) return false;
    return withOpen(content.copyOf, (read) => isAlike(path, stats.size, read));
  } catch {
    return false;
  }
}

/** Gives the bytes from a place on, at most so many. */
type Read = (at: number, length: number) => Uint8Array;

function fromBytes(bytes: Uint8Array): Read {
  return (at, length) => bytes.subarray(at, at + length);
}

function isAlike(path: string, size: number, other: Read): boolean {
  return withOpen(path, (read) => {
    for (let at = 0; at < size; at += STRETCH) {
      const length = Math.min(STRETCH, size - at);
      if (Buffer.compare(read(at, length), other(at, length)) !== 0) return false;
    }
    return true;
  });
}

function withOpen<T>(path: string, work: (read: Read) => T): T {
  const file = openSync(path, 'r');
  try {
    return work((at, length) => {
      const bytes = Buffer.alloc(length);
      let done = 0;
      while (done < length) {
        const got = readSync(file, bytes, done, length - done, at + done);
        if (got === 0) break;
        done += got;
      }
      return bytes.subarray(0, done);
    });
  } finally {
    closeSync(file);
  }
}
