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
import { rules } from '../../../rules/index.js';
import { AssetError, UsageError } from '../../asset/errors.js';
import type { Axis } from '../../measure/facts.js';
import { type MendResult, mendAsset } from '../../mend/mend-asset.js';
import { REPAIRS } from '../../mend/repairs.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { didYouMean } from '../../standard/nearest.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { refuseExisting, writeText, writeWhole } from '../output/write-output.js';
import { isSameFile } from '../paths/same-file.js';
import { refuseGone } from '../paths/working-folder.js';
import { chooseSettings } from '../run/choose-settings.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';
import { isNamed, refuseUnknownRules } from '../run/rule-names.js';
import { takeLedgerAlong } from './mend-ledger.js';
import { mendText } from './mend-words.js';

export interface MendFlags extends LedgerFlags {
  readonly standard?: string | boolean;
  readonly only?: readonly string[];
  readonly skip?: readonly string[];
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
  const only = await chosenRules(flags);
  const allow = mendable(flags.allowChange ?? []);
  if ((flags.aim === undefined) !== (flags.up === undefined))
    throw new UsageError(
      '--aim and --up go together: name the axis along the bones and the up axis',
    );
  if (flags.aim !== undefined && flags.aim.index === flags.up?.index)
    throw new UsageError('--aim and --up name the same axis; name two axes at right angles');
  const { settings } = await chooseSettings(
    flags.standard === undefined ? {} : { standard: flags.standard },
    io,
  );
  const path = resolve(io.cwd, file);
  const ledger = await openLedgerRun(flags, settings, io);
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
      ...(ledger !== null && { judge: (report, renames) => ledger.asset(report, renames) }),
    });
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    refuseGone(io);
    const where = error.where === null ? '' : ` (at ${error.where})`;
    await writeText(
      io.stderr,
      `trysquare: ${visible(`${file} cannot be mended: ${error.reason}${where}`)}\n`,
    );
    return EXIT.unreadable;
  }
  const { isTurned } = result;
  const places =
    target === null || result.offending !== null || !isTurned
      ? null
      : chooseFiles(target, file, io.cwd, flags, result);
  await writeText(io.stdout, mendText(result, io.columns));
  if (result.offending !== null)
    return tellNothing(io, 'it would change what is seen', EXIT.unsound);
  if (!isTurned) return tellNothing(io, 'the rig is not turned', EXIT.unsound);
  if (isWorse(result, flags))
    return tellNothing(
      io,
      'the mended file would have errors that this file does not have; they are marked as new',
      EXIT.unsound,
    );
  if (places === null) return verdictCode(result);
  // A copy would stand in the way of the next try, with a choice made or a change allowed.
  if (result.changes.length === 0 && result.after.verdict !== 'sound')
    return tellNothing(io, 'nothing was mended', EXIT.unsound);
  const wrote = writeAll(places, path, flags, result);
  const { shown } = places;
  const names = result.renamed.size === 0 ? null : namesFile(shown);
  const ledgerWords =
    result.changes.length === 0
      ? ''
      : takeLedgerAlong(
          { file, out: flags.inPlace === true ? null : shown, names },
          result,
          flags,
          io,
        );
  await writeText(io.stderr, `trysquare: ${wrote}${ledgerWords}\n`);
  return verdictCode(result);
}

/** Whether a sound file would come out unsound although nobody asked for anything that makes it another. */
function isWorse({ before, after }: MendResult, flags: MendFlags): boolean {
  const { restFrom, allowChange, aim } = flags;
  const isAsked = restFrom !== undefined || allowChange !== undefined || aim !== undefined;
  return !isAsked && before.verdict === 'sound' && after.verdict === 'unsound';
}

async function tellNothing(io: Io, why: string, code: number): Promise<number> {
  await writeText(io.stderr, `trysquare: nothing was written: ${why}\n`);
  return code;
}

/** Writes all that is to be written, and says so. */
function writeAll(
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

function verdictCode({ after }: MendResult): number {
  return after.verdict === 'sound' ? EXIT.sound : EXIT.unsound;
}

/** `heron.glb` is kept as `heron.glb.before-mend`, which no search for assets takes for one. */
function backupOf(path: string): string {
  return `${path}.before-mend`;
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
    throw new UsageError('--in-place says where the result goes; leave out --out and --replace');
  if (dryRun === true) return null;
  if (inPlace === true) return writableInPlace(resolve(io.cwd, file), file);
  if (out === undefined)
    throw new UsageError(
      'a mend does not overwrite its input. Name another file with --out FILE, see the plan with --dry-run, or use --in-place, which first keeps a copy of the input beside it',
    );
  if (out === '-' || /[\\/]$/.test(out))
    throw new UsageError(
      `--out names ${out === '-' ? 'standard output' : `a folder, ${visible(out)}`}; name a file`,
    );
  const target = resolve(io.cwd, out);
  if (!existsSync(dirname(target)))
    throw new UsageError(`${visible(out)} cannot be written: its folder does not exist`);
  if (isSameFile(target, resolve(io.cwd, file)))
    throw new UsageError(
      '--out names the file to be mended, and a mend does not overwrite its input; name another file',
    );
  refuseExisting(target, visible(out), replace === true);
  return target;
}

function isLink(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() === true;
}

/** What a link leads to is mended, not the link. Throws UsageError for a file that may not be written. */
function writableInPlace(path: string, shown: string): string {
  // That it is not there is told when it is read.
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

/** The rules that --only and --skip choose, by id; null for all. Throws UsageError. */
async function chosenRules({ only, skip }: MendFlags): Promise<readonly string[] | null> {
  const wanted = only === undefined ? null : mendable(only);
  if (skip === undefined) return wanted;
  // Skipping what cannot be mended anyway asks for nothing wrong.
  await refuseUnknownRules('--skip', skip);
  const skipped = new Set(rules.filter((rule) => isNamed(rule, skip)).map(({ id }) => id));
  const chosen = (wanted ?? ABLE).filter((id) => !skipped.has(id));
  if (chosen.length === 0) throw new UsageError('--only and --skip together leave nothing to mend');
  return chosen;
}

/** The rules whose findings can be mended. */
const ABLE = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];

/** Rules by id; for a family, all of its rules that can be mended. Throws UsageError. */
function mendable(named: readonly string[]): readonly string[] {
  return named.flatMap((id) => {
    if (ABLE.includes(id)) return [id];
    const ofFamily = ABLE.filter((rule) => rule.startsWith(`${id}.`));
    if (ofFamily.length > 0) return ofFamily;
    const known = rules.some((rule) => rule.id === id || rule.family === id);
    throw new UsageError(
      known
        ? `trysquare cannot mend what ${id} finds; it mends what these rules find: ${ABLE.join(', ')}`
        : `there is no rule or family "${visible(id)}".${didYouMean(id, ABLE)}`,
    );
  });
}

/** Everything to write, the main file last, so that it never leads to nothing. */
interface Places {
  readonly target: string;
  readonly shown: string;
  readonly written: readonly { to: string; words: string; bytes: Uint8Array | string }[];
}

/** Throws UsageError for all that stands in the way, before anything is written. */
function chooseFiles(
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

/** The file that tells which joints were renamed. */
function namesFile(target: string): string {
  return `${withoutEnding(target)}.names.json`;
}
