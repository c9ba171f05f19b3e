import {
  accessSync,
  chmodSync,
  constants,
  existsSync,
  lstatSync,
  readFileSync,
  realpathSync,
  statSync,
} from 'node:fs';
import { basename, dirname, join, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { refuseExisting, writeWhole } from '../output/write-output.js';
import { isSameFile } from '../paths/link-end.js';
import type { MendFlags } from './mend-flags.js';

/** Where the result goes; null for a dry run. Throws UsageError. */
export function chooseTarget(
  file: string,
  { out, replace = false, dryRun, inPlace }: MendFlags,
  { cwd }: Io,
): string | null {
  if (file === '-') throw new UsageError('standard input cannot be mended; name a file');
  if (inPlace === true && (out !== undefined || replace))
    throw new UsageError('--in-place says where the result goes; leave out --out and --replace');
  if (dryRun === true) return null;
  if (inPlace === true) return writableInPlace(resolve(cwd, file), file);
  if (out === undefined)
    throw new UsageError(
      'a mend does not overwrite its input. Name another file with --out FILE, see the plan with --dry-run, or use --in-place, which first keeps a copy of the input beside it',
    );
  if (out === '-' || /[\\/]$/.test(out))
    throw new UsageError(
      `--out names ${out === '-' ? 'standard output' : `a folder, ${visible(out)}`}; name a file`,
    );
  const target = resolve(cwd, out);
  if (!existsSync(dirname(target)))
    throw new UsageError(`${visible(out)} cannot be written: its folder does not exist`);
  if (isSameFile(target, resolve(cwd, file)))
    throw new UsageError(
      '--out names the file to be mended, and a mend does not overwrite its input; name another file',
    );
  refuseExisting(target, visible(out), replace);
  return target;
}

/** What a link leads to is mended, not the link. Throws UsageError for a file that may not be written. */
function writableInPlace(path: string, shown: string): string {
  // That it is missing is reported when it is read.
  if (!existsSync(path)) return path;
  try {
    accessSync(path, constants.W_OK);
  } catch {
    throw new UsageError(
      `${visible(shown)} cannot be written; name another file with --out, or change the permissions of this one`,
    );
  }
  return realpathSync(path);
}

/** Everything to write, the main file last, so that it never leads to nothing. */
interface Places {
  readonly target: string;
  readonly shown: string;
  readonly written: readonly { to: string; words: string; bytes: Uint8Array | string }[];
}

/** The files of a mend. Throws UsageError for all that is in the way, before anything is written. */
export function chooseFiles(
  target: string,
  file: string,
  { cwd }: Io,
  { inPlace = false, out = '', replace = false }: MendFlags,
  { files, renamed, externals, led, changes }: MendResult,
): Places {
  const path = resolve(cwd, file);
  // What a link leads to is mended in place, and that has to be said.
  const isLink = inPlace && lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() === true;
  const mended = isLink ? relative(realpathSync(cwd), target) : file;
  const shown = inPlace ? mended : out;
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
  const names = `${JSON.stringify(Object.fromEntries(renamed), null, 2)}\n`;
  if (renamed.size > 0) others.set(namesFile(basename(target)), names);
  const written = [...others].map(([name, bytes]) => ({
    to: join(dirname(target), name),
    words: visible(join(dirname(shown), name)),
    bytes,
  }));
  const main = { to: target, words: visible(shown), bytes: files.main };
  const all = [...written, main];
  const sources = led.map((uri) => resolve(dirname(path), decodeURIComponent(uri)));
  for (const { to, words } of all)
    if (sources.some((source) => isSameFile(source, to)))
      throw new UsageError(
        `${words} belongs to the asset that is mended; name another file with --out`,
      );
  // `--in-place` goes without `--replace`: it may not write over what is beside the file.
  const backup = { to: backupOf(target), words: visible(backupOf(shown)) };
  for (const { to, words } of inPlace ? [...written, backup] : [])
    if (existsSync(to))
      throw new UsageError(
        `${words}, which --in-place would write, exists already; move it, or name another file with --out`,
      );
  for (const { to, words } of written) refuseExisting(to, words, replace);
  return { target, shown, written: all };
}

/** Writes all that is to be written, and says so. */
export function writeAll(
  { target, shown, written }: Places,
  path: string,
  { inPlace = false, replace = false }: MendFlags,
  { changes, renamed }: MendResult,
): string {
  if (changes.length === 0 && inPlace)
    return `nothing was mended; ${visible(shown)} was not changed`;
  if (inPlace) {
    const { mode } = statSync(target);
    // Where two runs mend one file, the second would keep what the first has written.
    writeWhole(backupOf(target), visible(backupOf(shown)), readFileSync(path), false);
    chmodSync(backupOf(target), mode);
    for (const { to, words, bytes } of written) writeWhole(to, words, bytes, to === target);
    chmodSync(target, mode);
  } else for (const { to, words, bytes } of written) writeWhole(to, words, bytes, replace);
  if (changes.length === 0) return `nothing was mended; ${visible(shown)} is a copy of the file`;
  const parts = [`the mended file is ${visible(shown)}`];
  const names = namesFile(basename(target));
  const beside = written.filter(({ to }) => to !== target && basename(to) !== names);
  if (beside.length > 0) parts.push(`, with ${beside.map(({ words }) => words).join(', ')}`);
  if (renamed.size > 0)
    parts.push(
      `; ${counted(renamed.size, 'path')} of joints changed, old to new in ${visible(namesFile(shown))}`,
    );
  if (inPlace) parts.push(`; the file before it is kept as ${visible(backupOf(shown))}`);
  return parts.join('');
}

/** `heron.glb` is kept as `heron.glb.before-mend`, which no search for assets takes for one. */
function backupOf(path: string): string {
  return `${path}.before-mend`;
}

/** The file that lists which joints were renamed. */
export function namesFile(target: string): string {
  return `${withoutEnding(target)}.names.json`;
}

export function withoutEnding(path: string): string {
  return path.replace(/\.[^./\\]*$/, '');
}
