import { existsSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type { Writable } from 'node:stream';
import { UsageError } from '../asset/errors.js';

/** Writes all of a text to a stream; resolves once it is handed over. A closed pipe ends quietly. */
export function writeText(stream: Writable, text: string): Promise<void> {
  return new Promise((done, fail) => {
    const onError = (error: NodeJS.ErrnoException): void => {
      // The reader (a pager, `head`) has seen enough.
      if (error.code === 'EPIPE') done();
      else fail(error);
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
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    const why =
      code === 'ENOENT'
        ? 'its folder does not exist'
        : code === 'EACCES' || code === 'EROFS'
          ? 'there is no permission to write there'
          : code;
    throw new UsageError(`${shown} cannot be written: ${why}`);
  }
}
