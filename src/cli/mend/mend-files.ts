import { chmodSync, existsSync, lstatSync, readFileSync, realpathSync, statSync } from 'node:fs';
import { basename, dirname, join, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { refuseExisting, writeWhole } from '../output/write-output.js';
import { isSameFile } from '../paths/same-file.js';
import type { MendFlags } from './mend-flags.js';

/** Everything to write, the main file last, so that it never leads to nothing. */
export interface Places {
  readonly target: string;
  readonly shown: string;
  readonly written: readonly { to: string; words: string; bytes: Uint8Array | string }[];
}

/** Throws UsageError for all that stands in the way, before anything is written. */
export function chooseFiles(
  target: string,
  file: string,
  cwd: string,
  flags: MendFlags,
  { files, renamed, externals, led, changes }: MendResult,
): Places {
  const path = resolve(cwd, file);
  const inPlace = flags.inPlace === true;
  // What a link leads to is what is mended: that has to be told.
  const shown = !inPlace
    ? (flags.out ?? '')
    : isLink(path)
      ? relative(realpathSync(cwd), target)
      : file;
  if (inPlace && changes.length === 0) return { target, shown, written: [] };
  const [beside] = externals;
  if (beside !== undefined && dirname(target) !== dirname(path))
    throw new UsageError(
      `the asset uses ${visible(beside)} beside it; with --out, name a file in the same folder, so that it still finds it`,
    );
  const isGlb = files.main[0] === 0x67;
  if (!inPlace && !(isGlb ? /\.(glb|vrm)$/i : /\.gltf$/i).test(target))
    throw new UsageError(
      `the mended file is a ${isGlb ? '.glb' : '.gltf'}, as the asset is; give --out that ending`,
    );
  const [buffer] = files.buffers.keys();
  if (inPlace && buffer !== undefined)
    throw new UsageError(
      `its buffer ${visible(buffer)} is a separate file, and a change to it would also change the copy that is kept; name another file with --out`,
    );
  const others = new Map<string, Uint8Array | string>(files.buffers);
  if (renamed.size > 0)
    others.set(
      namesFile(basename(target)),
      `${JSON.stringify(Object.fromEntries(renamed), null, 2)}\n`,
    );
  const written = [...others].map(([name, bytes]) => ({
    to: join(dirname(target), name),
    words: visible(join(dirname(shown), name)),
    bytes,
  }));
  const sources = led.map((uri) => resolve(dirname(path), decodeURIComponent(uri)));
  for (const { to, words } of [...written, { to: target, words: visible(shown) }])
    if (sources.some((source) => isSameFile(source, to)))
      throw new UsageError(
        `${words} belongs to the asset that is mended; name another file with --out`,
      );
  for (const { to, words } of written) {
    if (inPlace && existsSync(to)) throw takenInPlace(words);
    refuseExisting(to, words, flags.replace === true);
  }
  if (inPlace && existsSync(backupOf(target))) throw takenInPlace(visible(backupOf(shown)));
  const main = { to: target, words: visible(shown), bytes: files.main };
  return { target, shown, written: [...written, main] };
}

/** `--in-place` goes without `--replace`: what stands beside the file is not its to write over. */
function takenInPlace(words: string): UsageError {
  return new UsageError(
    `${words}, which --in-place would write, exists already; move it, or name another file with --out`,
  );
}

/** Writes all that is to be written, and says so. */
export function writeAll(
  { target, shown, written }: Places,
  path: string,
  { inPlace, replace }: MendFlags,
  { changes, renamed }: MendResult,
): string {
  if (changes.length === 0 && inPlace === true)
    return `nothing was mended; ${visible(shown)} was not changed`;
  if (inPlace === true) {
    const { mode } = statSync(target);
    // Where two runs mend one file, the second would keep what the first has written.
    writeWhole(backupOf(target), visible(backupOf(shown)), readFileSync(path), false);
    chmodSync(backupOf(target), mode);
    for (const { to, words, bytes } of written) writeWhole(to, words, bytes, to === target);
    chmodSync(target, mode);
  } else for (const { to, words, bytes } of written) writeWhole(to, words, bytes, replace === true);
  if (changes.length === 0) return `nothing was mended; ${visible(shown)} is a copy of the file`;
  const names = namesFile(basename(target));
  const beside = written.filter(({ to }) => to !== target && basename(to) !== names);
  const besideWords =
    beside.length === 0 ? '' : `, with ${beside.map(({ words }) => words).join(', ')}`;
  const nameWords =
    renamed.size === 0
      ? ''
      : `; ${counted(renamed.size, 'path')} of joints changed, old to new in ${visible(namesFile(shown))}`;
  const kept =
    inPlace === true ? `; the file before it is kept as ${visible(backupOf(shown))}` : '';
  return `the mended file is ${visible(shown)}${besideWords}${nameWords}${kept}`;
}

function isLink(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() === true;
}

/** `heron.glb` is kept as `heron.glb.before-mend`, which no search for assets takes for one. */
function backupOf(path: string): string {
  return `${path}.before-mend`;
}

/** The file that tells which joints were renamed. */
export function namesFile(target: string): string {
  return `${withoutEnding(target)}.names.json`;
}

export function withoutEnding(path: string): string {
  return path.replace(/\.[^./\\]*$/, '');
}
