import {
  chmodSync,
  existsSync,
  lstatSync,
  readFileSync,
  rmdirSync,
  type Stats,
  statSync,
} from 'node:fs';
import { dirname } from 'node:path';
import type { Writable } from 'node:stream';
import { type AssetError, UsageError } from '../../asset/errors.js';
import { makeFolderAt } from '../../asset/make-folder.js';
import { type FileMark, markAt, putFile, removeQuietly } from '../../batch/part-file.js';
import { logLines } from '../../report/log-marks.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';

/** Says something about the run on standard error. */
export function tell({ stderr }: Io, message: string): Promise<void> {
  return writeText(stderr, `trysquare: ${message}\n`);
}

/** Says why an asset cannot be read or mended, and at which place in it. */
export function tellFailure(
  io: Io,
  path: string,
  failed: 'read' | 'mended',
  { reason, where }: Pick<AssetError, 'reason' | 'where'>,
): Promise<void> {
  const place = where === null ? '' : ` (at ${where})`;
  return tell(io, visible(`${path} cannot be ${failed}: ${reason}${place}`));
}

/** Writes lines for people to a stream, which may end up in the log of a build. */
export function writeText(stream: Writable, text: string): Promise<void> {
  return writeDocument(stream, logLines(text));
}

/**
 * Writes all of a text to a stream as it is; resolves once it is handed over. A closed pipe ends
 * quietly. For formats that keep the marks of build services out of their text by themselves.
 */
export function writeDocument(stream: Writable, text: string): Promise<void> {
  return new Promise((done, fail) => {
    const onError = (error: NodeJS.ErrnoException): void => {
      // The reader (a pager, `head`) has seen enough.
      if (error.code === 'EPIPE') done();
      else fail(new UsageError(`the report cannot be written: ${explainWriting(error)}`));
    };
    stream.once('error', onError);
    stream.write(text, (error) => {
      if (error != null) return onError(error);
      stream.removeListener('error', onError);
      done();
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
    throw new UsageError(`${shown} cannot be written: ${explainWriting(error)}`);
  }
  if (stats === undefined) return;
  if (stats.isDirectory()) throw new UsageError(`${shown} is a folder; name a file in it`);
  if (!stats.isFile())
    throw new UsageError(`${shown} is not a regular file and was not changed; name another file`);
  if (!replace)
    throw new UsageError(
      `${shown} exists already; add --replace to overwrite it, or name another file`,
    );
}

/**
 * Writes a file whole or not at all. Throws UsageError.
 *
 * @param over Whether it may take the place of a file that is there, or came to be there meanwhile.
 */
export function writeWhole(
  path: string,
  shown: string,
  content: string | Uint8Array,
  over = true,
): FileMark {
  try {
    return putFile(path, content, over);
  } catch (error) {
    throw new UsageError(`${shown} cannot be written: ${explainWriting(error)}`);
  }
}

/**
 * Writes a text that was made from what a file held, with the permissions that it had. Throws UsageError
 * where another command has changed it since it was read: what that added must not be lost.
 *
 * @param what What it is and its path as the user knows it: `the ledger FILE`.
 * @param before What it held; null where nothing was there.
 */
export function writeChanged(
  path: string,
  shown: string,
  what: string,
  before: string | null,
  text: string,
): void {
  const isThere = before !== null;
  const isSame =
    existsSync(path) === isThere && (!isThere || readFileSync(path, 'utf8') === before);
  if (!isSame)
    throw new UsageError(
      `${what} was changed by another command during the run, and this run did not change it; run the command again`,
    );
  const mode = isThere ? statSync(path).mode : null;
  writeWhole(path, shown, text, isThere);
  if (mode !== null) chmodSync(path, mode);
}

/** Files that belong together, each written whole, which can be taken back when not all can be written. */
export class FileSet {
  /** Paths at which nothing was, with the mark of what was written there. */
  private readonly added = new Map<string, FileMark>();

  /** @param over Whether files that are there may be written over. */
  constructor(private readonly over: boolean) {}

  /** Writes a file. Throws UsageError. */
  write(path: string, shown: string, text: string): void {
    refuseExisting(path, shown, this.over);
    const isNew = !existsSync(path);
    const mark = writeWhole(path, shown, text, this.over);
    if (isNew || this.added.has(path)) this.added.set(path, mark);
  }

  /**
   * Removes what was written where nothing was before; what was replaced stays as it is now, and so
   * does what another run has put there since.
   *
   * @param folders Removed too where they are empty then, the inner ones first.
   */
  takeBack(folders: readonly string[]): void {
    for (const [path, mark] of this.added) if (markAt(path) === mark) removeQuietly(path);
    removeEmpty(folders);
  }
}

/** Removes folders in which nothing is. */
export function removeEmpty(folders: readonly string[]): void {
  for (const folder of folders)
    try {
      rmdirSync(folder);
    } catch {
      // It holds something else, or was never made.
    }
}

/** Makes a folder, and those above it. Returns those that were not there, the inner ones first. Throws UsageError. */
export function makeFolders(path: string, shown: string): string[] {
  const made: string[] = [];
  for (let at = path; !existsSync(at) && dirname(at) !== at; at = dirname(at)) made.push(at);
  try {
    makeFolder(path, shown);
  } catch (error) {
    removeEmpty(made);
    throw error;
  }
  return made;
}

/** Makes a folder, and those above it. Throws UsageError. */
export function makeFolder(path: string, shown: string): void {
  try {
    makeFolderAt(path);
  } catch (error) {
    throw new UsageError(`${shown} cannot be made: ${explainWriting(error)}`);
  }
}

const DENIED = 'there is no permission to write there';
const TOO_MANY_OPEN = 'too many files are open; close some, or raise the limit of open files';
const NOT_A_FOLDER = 'a part of the path is a file, or its end is a folder';

/** Reasons by the code of the operating system. */
const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'its folder does not exist',
  EEXIST:
    'another program put a file there during the run, and it was not changed; run the command again',
  EMFILE: TOO_MANY_OPEN,
  ENFILE: TOO_MANY_OPEN,
  ENAMETOOLONG: 'its name is too long',
  EACCES: DENIED,
  EPERM: DENIED,
  EROFS: DENIED,
  ENOSPC: 'there is no space left on the device',
  EDQUOT: 'there is no space left in your quota on the device',
  EFBIG: 'it would be larger than a file may be here',
  EIO: 'the device does not work as it should',
  EBUSY: 'something else is using it, such as a mount',
  ELOOP: 'symbolic links in its path lead back to themselves',
  EISDIR: NOT_A_FOLDER,
  ENOTDIR: NOT_A_FOLDER,
};

/** Why the operating system refused to write, in plain words. */
export function explainWriting(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
  const path = error instanceof Error && 'path' in error ? String(error.path) : null;
  // Folders of the system itself say so of each file that they do not have.
  if (code === 'ENOENT' && path !== null && existsSync(dirname(path)))
    return 'no file can be made in its folder';
  return REASONS[code] ?? code;
}
