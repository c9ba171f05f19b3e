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
    // Without waiting: opening a named pipe for reading waits for a writer, for ever if need be.
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
      if (offset + target.byteLength > bytes.byteLength) {
        throw new AssetError('the data ends too early', `byte ${bytes.byteLength}`);
      }
      target.set(bytes.subarray(offset, offset + target.byteLength));
    },
    close: () => undefined,
  };
}

/** What the operating system said, in plain words. */
export function explain(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  switch (code) {
    case 'ENOENT':
      return 'there is no such file';
    case 'EACCES':
    case 'EPERM':
      return 'there is no permission to read it';
    case 'EISDIR':
      return 'it is a folder';
    case 'ENOTDIR':
      return 'a part of its path is a file, not a folder';
    case 'ENXIO':
      return 'it is not a regular file';
    case 'ELOOP':
      return 'its symbolic links lead back to themselves';
    case 'ENAMETOOLONG':
      return 'its name is too long';
    case 'EMFILE':
      return 'too many files are open';
    default:
      return `it cannot be read (${code || String(error)})`;
  }
}
