import { existsSync, readFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { rules } from '../../rules/index.js';
import { AssetError, UsageError } from '../asset/errors.js';
import type { Axis } from '../measure/facts.js';
import { type MendResult, mendAsset } from '../mend/mend-asset.js';
import { REPAIRS } from '../mend/repairs.js';
import { counted } from '../report/finding-words.js';
import { visible } from '../report/visible.js';
import { didYouMean } from '../standard/nearest.js';
import { chooseSettings } from './choose-settings.js';
import { EXIT } from './exit-codes.js';
import type { Io } from './io.js';
import { mendText } from './mend-words.js';
import { isSameFile } from './same-file.js';
import { refuseExisting, writeBytes, writeText } from './write-output.js';

export interface MendFlags {
  readonly standard?: string | boolean;
  readonly only?: readonly string[];
  readonly aim?: Axis;
  readonly up?: Axis;
  readonly out?: string;
  readonly replace?: boolean;
  readonly dryRun?: boolean;
  readonly inPlace?: boolean;
  readonly restFrom?: 'bind' | 'pose';
  readonly resample?: boolean;
  readonly allowChange?: readonly string[];
  readonly pack?: boolean;
}

/** `trysquare mend`: mends one asset, proves that nothing visible changed, and writes it. Returns the exit code. */
export async function runMend(file: string, flags: MendFlags, io: Io): Promise<number> {
  const target = chooseTarget(file, flags, io);
  const only = chooseRules(flags.only);
  const allow = chooseRules(flags.allowChange) ?? [];
  if ((flags.aim === undefined) !== (flags.up === undefined))
    throw new UsageError(
      '--aim and --up go together: name the axis along the bones and the up axis',
    );
  if (flags.aim !== undefined && flags.aim.index === flags.up?.index)
    throw new UsageError('--aim and --up name one axis; they have to be at right angles');
  const { settings } = await chooseSettings(
    flags.standard === undefined ? {} : { standard: flags.standard },
    io,
  );
  const path = resolve(io.cwd, file);
  let result: MendResult;
  try {
    result = await mendAsset(path, settings, REPAIRS, {
      name: file,
      stem: target === null || flags.inPlace === true ? null : withoutEnding(basename(target)),
      only,
      allow,
      resample: flags.resample === true,
      pack: flags.pack === true,
      restFrom: flags.restFrom ?? null,
      convention: flags.aim && flags.up ? { aim: flags.aim, up: flags.up } : null,
    });
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    const where = error.where === null ? '' : ` (at ${error.where})`;
    await writeText(
      io.stderr,
      `trysquare: ${visible(`${file} cannot be mended: ${error.reason}${where}`)}\n`,
    );
    return EXIT.unreadable;
  }
  await writeText(io.stdout, mendText(result, io.columns));
  if (result.offending !== null) return EXIT.unsound;
  if (flags.aim !== undefined && result.changes.length === 0 && result.left.length > 0) {
    await writeText(io.stdout, 'The rig is not turned. Nothing is written.\n');
    return EXIT.unsound;
  }
  if (target === null) return EXIT.sound;
  const inPlace = flags.inPlace === true;
  const shown = inPlace ? file : (flags.out ?? '');
  if (inPlace && result.changes.length === 0) return verdictCode(result);
  const written = chooseFiles(
    { target, shown, path, inPlace, replace: flags.replace === true },
    result,
  );
  if (inPlace) writeBytes(backupOf(target), visible(backupOf(shown)), readFileSync(path));
  for (const { to, words, bytes } of written) writeBytes(to, words, bytes);
  const names =
    result.renamed.size === 0
      ? ''
      : `; ${counted(result.renamed.size, 'path')} of joints changed, old to new in ${visible(namesFile(shown))}`;
  const kept = inPlace ? `; what it was is kept as ${visible(backupOf(shown))}` : '';
  await writeText(io.stderr, `trysquare: the mended file is ${visible(shown)}${names}${kept}\n`);
  return verdictCode(result);
}

function verdictCode({ after }: MendResult): number {
  return after.verdict === 'sound' ? EXIT.sound : EXIT.unsound;
}

/** `heron.glb` is kept as `heron.before-mend.glb`. */
function backupOf(path: string): string {
  const ending = /\.[^./\\]*$/.exec(path)?.[0] ?? '';
  return `${withoutEnding(path)}.before-mend${ending}`;
}

function withoutEnding(path: string): string {
  return path.replace(/\.[^./\\]*$/, '');
}

/** Where the result goes; null for a dry run. Throws UsageError. */
function chooseTarget(
  file: string,
  { out, replace, dryRun, inPlace }: MendFlags,
  io: Io,
): string | null {
  if (file === '-') throw new UsageError('standard input cannot be mended; name a file');
  if (inPlace === true && (out !== undefined || replace === true))
    throw new UsageError('--in-place says where the result goes; leave --out and --replace away');
  if (dryRun === true) return null;
  if (inPlace === true) return resolve(io.cwd, file);
  if (out === undefined)
    throw new UsageError(
      'a mend never writes over its input; name the file to write with --out FILE, see the plan with --dry-run, or have the input kept beside it with --in-place',
    );
  if (out === '-' || /[\\/]$/.test(out))
    throw new UsageError(
      `--out names ${out === '-' ? 'standard output' : `a folder, ${visible(out)}`}; name a file`,
    );
  const target = resolve(io.cwd, out);
  if (isSameFile(target, resolve(io.cwd, file)))
    throw new UsageError('--out names the file to be mended; a mend never writes over its input');
  refuseExisting(target, visible(out), replace === true);
  return target;
}

function chooseRules(only: readonly string[] | undefined): readonly string[] | null {
  if (only === undefined) return null;
  const able = REPAIRS.flatMap((repair) => repair.rules);
  for (const id of only) {
    if (able.includes(id)) continue;
    const known = rules.some((rule) => rule.id === id);
    throw new UsageError(
      known
        ? `what ${id} finds cannot be mended by trysquare; mended are ${able.join(', ')}`
        : `there is no rule "${visible(id)}".${didYouMean(id, able)}`,
    );
  }
  return only;
}

interface Destination {
  readonly target: string;
  readonly shown: string;
  /** The asset that is mended. */
  readonly path: string;
  readonly inPlace: boolean;
  readonly replace: boolean;
}

/**
 * Everything to write, the main file last, so that it never leads to nothing. Throws UsageError for all
 * that stands in the way before anything is written.
 */
function chooseFiles(
  { target, shown, path, inPlace, replace }: Destination,
  { files, renamed, externals, led }: MendResult,
): { to: string; words: string; bytes: Uint8Array | string }[] {
  const [beside] = externals;
  if (beside !== undefined && dirname(target) !== dirname(path))
    throw new UsageError(
      `the asset leads to ${visible(beside)} beside it; name a file in its own folder with --out, so that it still does`,
    );
  const isGlb = files.main[0] === 0x67;
  if (/\.(glb|gltf)$/i.test(target) && /\.glb$/i.test(target) !== isGlb)
    throw new UsageError(
      `the mended file is a ${isGlb ? '.glb' : '.gltf'}, as the asset is; let --out end in that`,
    );
  const [buffer] = files.buffers.keys();
  if (inPlace && buffer !== undefined)
    throw new UsageError(
      `its buffer ${visible(buffer)} is a file of its own, which would change under the copy that is kept; name another file with --out`,
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
    refuseExisting(to, words, replace);
  }
  if (inPlace && existsSync(backupOf(target))) throw takenInPlace(visible(backupOf(shown)));
  return [...written, { to: target, words: visible(shown), bytes: files.main }];
}

/** `--in-place` goes without `--replace`: what stands beside the file is not its to write over. */
function takenInPlace(words: string): UsageError {
  return new UsageError(
    `${words}, which --in-place would write, is there already; move it, or name another file with --out`,
  );
}

/** The file that tells which joints were renamed. */
function namesFile(target: string): string {
  return `${withoutEnding(target)}.names.json`;
}
