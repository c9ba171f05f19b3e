import { linkSync, lstatSync, renameSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { removeQuietly } from '../../batch/part-file.js';

/** A file that is to be replaced, kept beside its place until all that belongs to it is replaced, too. */
export class Aside {
  private constructor(
    private readonly path: string,
    private readonly kept: string,
    /** Whether what is in its place then is the same file, or one that was made in its stead. */
    private readonly isReplaced: boolean,
  ) {}

  /** Takes a file from its place. Throws what the system says. */
  static taken(path: string): Aside {
    const kept = freeName(path);
    renameSync(path, kept);
    return new Aside(path, kept, false);
  }

  /** Keeps a file that stays in its place until another is moved there. Throws what the system says. */
  static copied(path: string): Aside {
    const kept = freeName(path);
    try {
      linkSync(path, kept);
    } catch {
      // Some file systems give a file one name alone.
      renameSync(path, kept);
    }
    return new Aside(path, kept, true);
  }

  /** All is replaced: it goes, or back to its place where nothing took that. */
  end(): void {
    if (isThere(this.path)) removeQuietly(this.kept);
    else this.restore();
  }

  /** Puts it back. Where that fails, or another program took its place, it stays beside: nothing is lost. */
  restore(): void {
    try {
      if (!this.isReplaced && isThere(this.path)) return;
      renameSync(this.kept, this.path);
      // Moving a name of a file onto another of the same file does nothing.
      removeQuietly(this.kept);
    } catch {
      // The caller tells what went wrong before.
    }
  }
}

/** A name beside a file that is free: a run that was killed may have left one, with what was there then. */
function freeName(path: string): string {
  for (let number = 1; ; number++) {
    const end = number === 1 ? '' : `-${number}`;
    const name = join(dirname(path), `.${basename(path)}.before-replace${end}`);
    if (!isThere(name)) return name;
  }
}

function isThere(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false }) !== undefined;
}
