import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import { AssetError } from './errors.js';
import { outOfFiles } from './open-files.js';

/** Bytes that can be read from any place, so that nothing is read that is not wanted. */
export interface ByteSource {
  readonly size: number;
  /** Fills `target` from byte `offset` on. Throws AssetError when the source ends before that. */
  readInto(target: Uint8Array, offset: number): void;
  close(): void;
}

/**
 * Reads a file by position. Throws AssetError when it cannot be opened or is no regular file, and
 * MachineError when no file can be opened.
 */
export function openFile(path: string): ByteSource {
  let descriptor: number;
  try {
    // Without waiting: opening a named pipe for reading waits for a writer, perhaps for ever.
    descriptor = openSync(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  } catch (error) {
    throw outOfFiles(error) ?? new AssetError(explain(error));
  }
  const stats = fstatSync(descriptor);
  if (!stats.isFile()) {
    closeSync(descriptor);
    throw new AssetError(stats.isDirectory() ? 'it is a folder' : 'it is not a regular file');
  }
  return {
    size: stats.size,
    readInto(target, offset) {
      let done = 0;
      while (done < target.byteLength) {
        let got: number;
        try {
          got = readSync(descriptor, target, done, target.byteLength - done, offset + done);
        } catch (error) {
          throw new AssetError(explain(error), `byte ${offset + done}`);
        }
        if (got === 0) throw new AssetError('the file ends too early', `byte ${offset + done}`);
        done += got;
      }
    },
    close: () => closeSync(descriptor),
  };
}

/** Serves bytes already in memory (standard input, data URIs). */
export function fromMemory(bytes: Uint8Array): ByteSource {
  return {
    size: bytes.byteLength,
    readInto(target, offset) {
      if (offset + target.byteLength > bytes.byteLength)
        throw new AssetError('the data ends too early', `byte ${bytes.byteLength}`);
      target.set(bytes.subarray(offset, offset + target.byteLength));
    },
    close: () => undefined,
  };
}

/** What the error codes of the operating system mean, in plain words. */
const MEANINGS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'there is no permission to read it',
  EPERM: 'there is no permission to read it',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of its path is a file, not a folder',
  ENXIO: 'it is not a regular file',
  ELOOP: 'its symbolic links lead back to themselves',
  ENAMETOOLONG: 'its name is too long',
  EMFILE: 'too many files are open',
};

/** Why a file cannot be read, in plain words. */
export function explain(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  return MEANINGS[code] ?? `it cannot be read (${code || String(error)})`;
}
