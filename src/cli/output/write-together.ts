import { lstatSync } from 'node:fs';
import { dirname } from 'node:path';
import { openFile } from '../../asset/byte-source.js';
import { AssetError, UsageError } from '../../asset/errors.js';
import { outOfFiles } from '../../asset/open-files.js';
import { type FileMark, markAt, PartFile, removeQuietly } from '../../batch/part-file.js';
import { Aside } from './aside.js';
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
 * moved there when nothing is left that takes room: a disk that fills leaves everything as it was. Where
 * several change, the old ones are kept until all new ones are in their places, and the main one is taken
 * from its place meanwhile, so that it never stands beside parts that are not its own. What is there with
 * the same content stays. Throws UsageError, also for what came to be there since the caller looked,
 * unless it may be written over.
 */
export function writeTogether(pieces: readonly Piece[]): void {
  const staged: { readonly piece: Piece; readonly part: PartFile }[] = [];
  const added = new Map<Piece, FileMark>();
  const aside: Aside[] = [];
  try {
    for (const piece of pieces) {
      if (holdsSame(piece.to, piece.content)) continue;
      makeFolder(dirname(piece.to), dirname(piece.words));
      const part = guarded(piece, () => new PartFile(piece.to));
      staged.push({ piece, part });
      guarded(piece, () => fill(part, piece));
    }
    const main = pieces.at(-1);
    const replaced = staged.flatMap(({ piece }) =>
      piece !== main && isTaken(piece) ? [piece] : [],
    );
    if (main !== undefined && replaced.length > 0 && isTaken(main))
      aside.push(guarded(main, () => Aside.taken(main.to)));
    for (const piece of replaced.filter(({ isShared }) => isShared !== true))
      aside.push(guarded(piece, () => Aside.copied(piece.to)));
    for (const { piece, part } of staged) {
      const isNew = !isTaken(piece);
      const mark = guarded(piece, () => moved(part, piece));
      if (mark !== null && isNew && piece.isShared !== true) added.set(piece, mark);
    }
    for (const one of aside) one.end();
  } catch (error) {
    for (const { part } of staged) part.discard();
    for (const [{ to }, mark] of added) if (markAt(to) === mark) removeQuietly(to);
    // The main one last, which goes by the others.
    for (const one of aside.reverse()) one.restore();
    throw error;
  }
}

/** Whether something is at the place of a piece. Throws UsageError where that cannot be found out. */
function isTaken(piece: Piece): boolean {
  return guarded(piece, () => lstatSync(piece.to, { throwIfNoEntry: false }) !== undefined);
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
