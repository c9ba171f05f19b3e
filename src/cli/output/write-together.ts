import { lstatSync, renameSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { openFile } from '../../asset/byte-source.js';
import { AssetError, UsageError } from '../../asset/errors.js';
import { outOfFiles } from '../../asset/open-files.js';
import { type FileMark, markAt, PartFile, removeQuietly } from '../../batch/part-file.js';
import { holdsSame } from './same-content.js';
import { explainWriting, makeFolder } from './write-output.js';

/** One of several files that belong together. */
export interface Piece {
  readonly to: string;
  /** As the user knows it. */
  readonly words: string;
  /** What it is to hold: bytes, or all of another file. */
  readonly content: Uint8Array | { readonly copyOf: string };
  /** Whether it may take the place of another file. */
  readonly over: boolean;
  /** Whether others need it too, so that it stays where the rest cannot be written. */
  readonly isShared?: boolean;
  /** Permissions; those of a new file when absent. */
  readonly mode?: number;
}

/** Bytes of a file that are held in memory at once. */
const STRETCH = 1 << 20;

/**
 * Writes files that belong together, the main one last. All are written beside their places first, and
 * moved there when nothing is left that takes room: a disk that fills leaves everything as it was. A file
 * that has to be taken from its place for others to change is put aside, so that it never stands beside
 * parts that are not its own. What is there with the same content stays. Throws UsageError, also for what
 * came to be there since the caller looked, unless it may be written over.
 */
export function writeTogether(pieces: readonly Piece[]): void {
  const staged: { readonly piece: Piece; readonly part: PartFile }[] = [];
  const added = new Map<Piece, FileMark>();
  let aside: { readonly path: string; readonly kept: string } | null = null;
  try {
    for (const piece of pieces) {
      if (holdsSame(piece.to, piece.content)) continue;
      makeFolder(dirname(piece.to), dirname(piece.words));
      const part = guarded(piece, () => new PartFile(piece.to));
      staged.push({ piece, part });
      guarded(piece, () => fill(part, piece));
    }
    const main = pieces.at(-1);
    const replaced = staged.filter(({ piece }) => piece !== main && isThere(piece.to));
    if (main !== undefined && replaced.length > 0 && isThere(main.to)) {
      const kept = join(dirname(main.to), `.${basename(main.to)}.before-replace`);
      guarded(main, () => renameSync(main.to, kept));
      aside = { path: main.to, kept };
    }
    for (const { piece, part } of staged) {
      const isNew = !isThere(piece.to);
      const mark = guarded(piece, () => moved(part, piece));
      if (mark !== null && isNew && piece.isShared !== true) added.set(piece, mark);
    }
    if (aside !== null) removeQuietly(aside.kept);
  } catch (error) {
    for (const { part } of staged) part.discard();
    for (const [{ to }, mark] of added) if (markAt(to) === mark) removeQuietly(to);
    if (aside !== null && !isThere(aside.path)) renameSync(aside.kept, aside.path);
    throw error;
  }
}

function isThere(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false }) !== undefined;
}

/** Moves a part to its place; null where another run has just put the same there. */
function moved(part: PartFile, { to, content, over }: Piece): FileMark | null {
  try {
    return part.moveTo(to, over);
  } catch (error) {
    if (!holdsSame(to, content)) throw error;
    return null;
  }
}

function fill(part: PartFile, { content, mode }: Piece): void {
  if (content instanceof Uint8Array) part.write(content);
  else {
    const source = openFile(content.copyOf);
    try {
      for (let at = 0; at < source.size; at += STRETCH) {
        const stretch = Buffer.alloc(Math.min(STRETCH, source.size - at));
        source.readInto(stretch, at);
        part.write(stretch);
      }
    } finally {
      source.close();
    }
  }
  part.seal(mode);
}

/** Throws UsageError for what the system says of a piece. */
function guarded<T>({ words }: Piece, work: () => T): T {
  try {
    return work();
  } catch (error) {
    const why = error instanceof AssetError ? error.reason : explainWriting(error);
    throw outOfFiles(error) ?? new UsageError(`${words} cannot be written: ${why}`);
  }
}
