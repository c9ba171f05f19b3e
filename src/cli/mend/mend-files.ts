import { lstatSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { visible } from '../../report/visible.js';
import { holdsSame } from '../output/same-content.js';
import { tellsCases } from '../output/tells-cases.js';
import { refuseExisting } from '../output/write-output.js';
import type { Piece } from '../output/write-together.js';
import { isSameFile } from '../paths/link-end.js';
import { realOf } from '../paths/real-of.js';
import { backupOf, namesFile } from './beside-names.js';
import { companionsOf, type NotTaken } from './companions.js';
import type { MendPlace } from './mend-place.js';

/** What a written file is to the mended asset. */
export type Holds = 'asset' | 'buffer' | 'companion' | 'names' | 'backup';

export interface MendPiece extends Piece {
  readonly holds: Holds;
}

/** Everything to write, the asset last, so that it never leads to nothing. */
export interface MendFiles {
  readonly pieces: readonly MendPiece[];
  /** Files that the asset names and that do not go along. */
  readonly notTaken: readonly NotTaken[];
}

/** The files of a mend of the asset at a path. Throws UsageError for all that is in the way. */
export function filesOf(path: string, place: MendPlace, result: MendResult): MendFiles {
  if (place.way === 'in-place') return { pieces: piecesOver(path, place, result), notTaken: [] };
  const { files } = result;
  const isGlb = files.main[0] === 0x67;
  if (place.way === 'file' && !(isGlb ? /\.(glb|vrm)$/i : /\.gltf$/i).test(place.target))
    throw new UsageError(
      `the mended file is a ${isGlb ? '.glb' : '.gltf'}, as the asset is; give --out that ending`,
    );
  const isElsewhere = !isSameFile(dirname(place.target), dirname(path));
  const uris = isElsewhere ? result.externals : [];
  const { taken, notTaken } = companionsOf(uris, dirname(path));
  const companions = taken.map(({ from, name }) => ({
    ...pieceOf(place, name, { copyOf: from }, 'companion'),
    isShared: place.shared.includes(from),
  }));
  const pieces = [...companions, ...changedPieces(place, result)];
  refuseOwn(pieces, [path, ...ledTo(path, result)]);
  refuseTwice(pieces);
  refuseReserved(pieces, place);
  // What an earlier run has made of the same asset is no hindrance: a run that was stopped can be run again.
  for (const { to, words, content } of pieces)
    if (!holdsSame(to, content)) refuseExisting(to, words, place.replace);
  return { pieces, notTaken };
}

/** The files of a mend in place, the copy of the asset before its own place is taken. */
function piecesOver(path: string, place: MendPlace, result: MendResult): MendPiece[] {
  const { target, shown } = place;
  const [buffer] = result.files.buffers.keys();
  if (buffer !== undefined)
    throw new UsageError(
      `its buffer ${visible(buffer)} is a separate file, and a change to it would also change the copy that is kept; name another file with --out, or a folder with --out-dir`,
    );
  const backup = {
    ...pieceOf(place, basename(backupOf(target)), { copyOf: path }, 'backup'),
    words: visible(backupOf(shown)),
  };
  const pieces = [backup, ...changedPieces(place, result)];
  refuseOwn(pieces, ledTo(path, result));
  refuseReserved(pieces, place);
  // `--in-place` goes without `--replace`: it may not write over what is beside the file. A run that was
  // killed may have left the same there.
  for (const { to, words, content, holds } of pieces)
    if (holds !== 'asset' && isThere(to) && !holdsSame(to, content))
      throw new UsageError(
        `${words}, which --in-place would write, exists already; move it, or name another file with --out`,
      );
  const { mode } = statSync(target);
  return pieces.map((one) =>
    one.holds === 'names' ? one : { ...one, mode, over: one.holds === 'asset' },
  );
}

/** Also of a link to nothing. What cannot be looked at is told when it is written. */
function isThere(path: string): boolean {
  try {
    return lstatSync(path, { throwIfNoEntry: false }) !== undefined;
  } catch {
    return false;
  }
}

/** What the mend made: buffers, the names of joints that changed, and the asset. */
function changedPieces(place: MendPlace, { files, renamed }: MendResult): MendPiece[] {
  const { target, shown } = place;
  const names = Buffer.from(`${JSON.stringify(Object.fromEntries(renamed), null, 2)}\n`);
  return [
    ...[...files.buffers].map(([name, bytes]) => pieceOf(place, name, bytes, 'buffer')),
    ...(renamed.size > 0 ? [pieceOf(place, namesFile(basename(target)), names, 'names')] : []),
    { ...pieceOf(place, basename(target), files.main, 'asset'), words: visible(shown) },
  ];
}

function pieceOf(
  { target, shown, replace }: MendPlace,
  name: string,
  content: Piece['content'],
  holds: Holds,
): MendPiece {
  const to = join(dirname(target), name);
  return { to, words: visible(join(dirname(shown), name)), content, over: replace, holds };
}

function ledTo(path: string, { led }: MendResult): string[] {
  return led.map((uri) => resolve(dirname(path), decodeURIComponent(uri)));
}

/** Nothing that the asset is made of is written over. Throws UsageError. */
function refuseOwn(pieces: readonly MendPiece[], sources: readonly string[]): void {
  for (const { to, words } of pieces)
    if (sources.some((source) => isSameFile(source, to)))
      throw new UsageError(
        `${words} belongs to the asset that is mended; name another file with --out`,
      );
}

/** The report and the page of a run are not written over files of the asset. Throws UsageError. */
function refuseReserved(pieces: readonly MendPiece[], { reserved = [] }: MendPlace): void {
  for (const { to, words } of pieces)
    if (reserved.some((path) => realOf(path) === realOf(to)))
      throw new UsageError(
        `${words} is to hold the report or the page, too; name another file with --report or --page`,
      );
}

/** Two files of one asset must not have one place. Throws UsageError. */
function refuseTwice(pieces: readonly MendPiece[]): void {
  const places = new Map<string, string>();
  for (const { to, words } of pieces) {
    const key = to.toLowerCase();
    const other = places.get(key);
    if (other === to)
      throw new UsageError(
        `two files of the asset would be written to ${words}; name another file with --out`,
      );
    if (other !== undefined && !tellsCases(dirname(to)))
      throw new UsageError(
        `two files of the asset would be written to ${words}, since the names differ in case alone and this disk takes them for one; give one of them another name`,
      );
    places.set(key, to);
  }
}
