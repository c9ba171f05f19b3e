import {
  existsSync,
  lstatSync,
  renameSync,
  rmdirSync,
  rmSync,
  type Stats,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import type { Writable } from 'node:stream';
import { UsageError } from '../asset/errors.js';
import { logLines } from '../report/log-marks.js';

/** Writes lines for people to a stream, which may end up in the log of a build. */
export function writeText(stream: Writable, text: string): Promise<void> {
  return writeDocument(stream, logLines(text));
}

/**
 * Writes all of a text to a stream as it is; resolves once it is handed over. A closed pipe ends
 * quietly. For forms that keep the marks of build services out of their text by themselves.
 */
export function writeDocument(stream: Writable, text: string): Promise<void> {
  return new Promise((done, fail) => {
    const onError = (error: NodeJS.ErrnoException): void => {
      // The reader (a pager, `head`) has seen enough.
      if (error.code === 'EPIPE') done();
      else fail(new UsageError(`the report cannot be written: ${why(error)}`));
    };
    stream.once('error', onError);
    stream.write(text, (error) => {
      if (error == null) {
        stream.removeListener('error', onError);
        done();
      } else onError(error);
    });
  });
}

/** Refuses a target that is there already, unless it is a file that may be replaced. Throws UsageError. */
export function refuseExisting(path: string, shown: string, replace: boolean): void {
  let stats: Stats | undefined;
  try {
    // The link itself, if it is one: what it leads to may not be there.
    stats = lstatSync(path, { throwIfNoEntry: false });
  } catch (error) {
    throw new UsageError(`${shown} cannot be written: ${why(error)}`);
  }
  if (stats === undefined) return;
  if (stats.isDirectory()) throw new UsageError(`${shown} is a folder; name a file in it`);
  if (!stats.isFile())
    throw new UsageError(`${shown} is no regular file and is left as it is; name another file`);
  if (replace) return;
  throw new UsageError(
    `${shown} is there already; add --replace to write over it, or name another file`,
  );
}

/** Writes a file whole or not at all: beside its place first, then moved onto it. */
export function writeWhole(path: string, shown: string, text: string): void {
  writeBytes(path, shown, text);
}

/** The same of bytes. */
export function writeBytes(path: string, shown: string, text: string | Uint8Array): void {
  const part = join(dirname(path), `.trysquare-${process.pid}.part`);
  try {
    writeFileSync(part, text, { flag: 'wx' });
    renameSync(part, path);
  } catch (error) {
    removeQuietly(part);
    throw new UsageError(`${shown} cannot be written: ${why(error)}`);
  }
}

/** Removes a file that may not be there. */
export function removeQuietly(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // What could not be made need not be removed.
  }
}

/** Files that belong together, each written whole, which can be taken back when not all can be written. */
export class FileSet {
  private readonly added: string[] = [];

  /** Writes a file, over one that is there. Throws UsageError. */
  write(path: string, shown: string, text: string): void {
    refuseExisting(path, shown, true);
    const isNew = !existsSync(path);
    writeWhole(path, shown, text);
    if (isNew) this.added.push(path);
  }

  /**
   * Removes what was written where nothing was before; what was replaced stays as it is now.
   *
   * @param folders Removed too where they are empty then, the inner ones first.
   */
  takeBack(folders: readonly string[]): void {
    for (const path of this.added) removeQuietly(path);
    for (const folder of folders)
      try {
        rmdirSync(folder);
      } catch {
        // It holds something else, or was never made.
      }
  }
}

/** What the operating system said, in plain words. */
export function why(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
  switch (code) {
    case 'ENOENT':
      return 'its folder does not exist';
    case 'ENAMETOOLONG':
      return 'its name is too long';
    case 'EACCES':
    case 'EPERM':
    case 'EROFS':
      return 'there is no permission to write there';
    case 'ENOSPC':
      return 'there is no space left on the device';
    case 'EISDIR':
    case 'ENOTDIR':
      return 'it leads to a folder, or through a file';
    default:
      return code;
  }
}
