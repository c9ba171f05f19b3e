import { existsSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type { Writable } from 'node:stream';
import { UsageError } from '../asset/errors.js';

/** Writes all of a text to a stream; resolves once it is handed over. A closed pipe ends quietly. */
export function writeText(stream: Writable, text: string): Promise<void> {
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

/** Refuses a target that is there already, unless it may be replaced. Throws UsageError. */
export function refuseExisting(path: string, shown: string, replace: boolean): void {
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory() === true) {
    throw new UsageError(`${shown} is a folder; name a file in it`);
  }
  if (!replace && existsSync(path)) {
    throw new UsageError(
      `${shown} is there already; add --replace to write over it, or name another file`,
    );
  }
}

/** Writes a file whole or not at all: beside its place first, then moved onto it. */
export function writeWhole(path: string, shown: string, text: string): void {
  const part = join(dirname(path), `.${basename(path)}.${process.pid}.part`);
  try {
    writeFileSync(part, text, { flag: 'wx' });
    renameSync(part, path);
  } catch (error) {
    rmSync(part, { force: true });
    throw new UsageError(`${shown} cannot be written: ${why(error)}`);
  }
}

/** What the operating system said, in plain words. */
function why(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
  switch (code) {
    case 'ENOENT':
      return 'its folder does not exist';
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
