import {
  type BigIntStats,
  closeSync,
  fchmodSync,
  fstatSync,
  linkSync,
  lstatSync,
  openSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { crypto } from '../asset/crypto.js';

/**
 * A file in the making: written beside its place under a name of chance, then moved onto it, so that
 * it is there whole or not at all. Runs can write into one folder at the same time, also from
 * containers, in which process ids repeat: nothing but the part file that was made here is ever
 * removed. What a killed run leaves stays therefore, since nobody else can tell it from one at work.
 */
export class PartFile {
  private readonly part: string;
  private file: number | null;
  private isThere = true;
  private mark: FileMark = '';

  /** Makes an empty file in the folder of `path`. All methods throw what the system says. */
  constructor(path: string) {
    const name = `.trysquare-${crypto().randomBytes(CHANCE_BYTES).toString('hex')}.part`;
    this.part = join(dirname(path), name);
    // Never one that is there, by whatever chance: it would be another's.
    this.file = openSync(this.part, 'wx');
  }

  write(bytes: Uint8Array): void {
    if (this.file === null) return;
    for (let at = 0; at < bytes.length; ) at += writeSync(this.file, bytes, at);
  }

  /** Whether the disk finds it under its name in capitals, too. Throws what the system says. */
  isFoundInCapitals(): boolean {
    const capitals = join(dirname(this.part), basename(this.part).toUpperCase());
    return lstatSync(capitals, { throwIfNoEntry: false }) !== undefined;
  }

  /** Closes it once all is written: one of many that wait to be moved keeps no file open. */
  seal(mode?: number): void {
    if (this.file === null) return;
    if (mode !== undefined) fchmodSync(this.file, mode);
    this.mark = markOf(fstatSync(this.file, { bigint: true }));
    this.close();
  }

  /** Moves it to its place. Throws EEXIST where something is there that may not be written over. */
  moveTo(path: string, over: boolean): FileMark {
    this.seal();
    if (over || !this.linkedTo(path)) {
      renameSync(this.part, path);
      this.isThere = false;
    }
    this.discard();
    return this.mark;
  }

  /** Removes it, unless it was moved. */
  discard(): void {
    this.close();
    if (this.isThere) removeQuietly(this.part);
    this.isThere = false;
  }

  /** Gives it a second name; throws where that is taken. False on file systems without such names. */
  private linkedTo(path: string): boolean {
    try {
      linkSync(this.part, path);
      return true;
    } catch (error) {
      if (lstatSync(path, { throwIfNoEntry: false }) === undefined) return false;
      throw error;
    }
  }

  private close(): void {
    if (this.file !== null) closeSync(this.file);
    this.file = null;
  }
}

/** So many that no two are ever the same. */
const CHANCE_BYTES = 12;

/** A file's number, size and time of change: another file in its place has another mark. */
export type FileMark = string;

function markOf({ ino, size, mtimeNs }: BigIntStats): FileMark {
  return [ino, size, mtimeNs].join(' ');
}

/** The mark of what is at a path; null for nothing. */
export function markAt(path: string): FileMark | null {
  try {
    return markOf(lstatSync(path, { bigint: true }));
  } catch {
    return null;
  }
}

/** Writes a file whole or not at all. Throws what the system says. */
export function putFile(path: string, content: string | Uint8Array, over = true): FileMark {
  const part = new PartFile(path);
  try {
    part.write(typeof content === 'string' ? Buffer.from(content) : content);
    return part.moveTo(path, over);
  } catch (error) {
    part.discard();
    throw error;
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
