import { accessSync, constants, existsSync, lstatSync, realpathSync } from 'node:fs';
import { basename, dirname, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { refuseExisting } from '../output/write-output.js';
import { isSameFile } from '../paths/link-end.js';
import { withoutEnding } from './beside-names.js';
import type { MendFlags } from './mend-flags.js';

/** Where a mended file goes. Plain data, so that a worker can be told. */
export interface MendPlace {
  /** To a file that the user names, into a folder beside others, or over the asset itself. */
  readonly way: 'file' | 'folder' | 'in-place';
  /** Absolute path of what is written. */
  readonly target: string;
  /** The same as the user knows it. */
  readonly shown: string;
  /** Whether files that are there may be written over. */
  readonly replace: boolean;
  /** What is done with an asset that is sound, and in which nothing is to be mended. */
  readonly sound: 'copy' | 'leave';
  /** Name, without its ending, for separate buffers that change; null for the name they have. */
  readonly stem: string | null;
  /** Real paths of files that other assets name, too. */
  readonly shared: readonly string[];
  /** Absolute paths of the report and the page of the run, which are written last; none when absent. */
  readonly reserved?: readonly string[];
}

const NONE_SHARED = { stem: null, shared: [] };

/** Where the one asset of a run goes; null for a dry run. Throws UsageError. */
export function choosePlace(
  file: string,
  flags: MendFlags,
  { cwd }: Pick<Io, 'cwd'>,
): MendPlace | null {
  if (file === '-') throw new UsageError('standard input cannot be mended; name a file');
  refuseContrary(flags);
  const { out, replace = false, dryRun, inPlace } = flags;
  if (dryRun === true) return null;
  const reserved = reservedBy(flags, cwd);
  if (inPlace === true) return { ...placeOver(resolve(cwd, file), file, cwd), reserved };
  if (out === undefined)
    throw new UsageError(
      'a mend does not overwrite its input. Name another file with --out FILE, see the plan with --dry-run, or use --in-place, which first keeps a copy of the input beside it',
    );
  if (out === '-' || /[\\/]$/.test(out))
    throw new UsageError(
      out === '-'
        ? '--out names standard output; name a file'
        : `--out names a folder, ${visible(out)}; name a file, or give the folder with --out-dir`,
    );
  const target = resolve(cwd, out);
  if (!existsSync(dirname(target)))
    throw new UsageError(`${visible(out)} cannot be written: its folder does not exist`);
  if (isSameFile(target, resolve(cwd, file)))
    throw new UsageError(
      '--out names the file to be mended, and a mend does not overwrite its input; name another file',
    );
  refuseExisting(target, visible(out), replace);
  const stem = withoutEnding(basename(target));
  return {
    way: 'file',
    target,
    shown: out,
    replace,
    sound: 'copy',
    ...NONE_SHARED,
    stem,
    reserved,
  };
}

/** Where the report and the page of a run go. */
export function reservedBy({ report, page }: MendFlags, cwd: string): string[] {
  return [report, ...(page ?? [])].flatMap((name) =>
    name === undefined ? [] : [resolve(cwd, name)],
  );
}

/** Refuses options of which each says where the result goes. Throws UsageError. */
export function refuseContrary({
  out,
  outDir,
  replace = false,
  inPlace = false,
  sound,
  report,
  page,
  handbook,
}: MendFlags): void {
  // A report may be written over, too.
  const replaces = replace && report === undefined;
  if (inPlace && (out !== undefined || outDir !== undefined || replaces))
    throw new UsageError(
      '--in-place says where the result goes; leave out --out, --out-dir and --replace',
    );
  if (out !== undefined && outDir !== undefined)
    throw new UsageError(
      '--out and --out-dir both say where the result goes; leave one of them out',
    );
  if (sound !== undefined && outDir === undefined)
    throw new UsageError('--sound goes with --out-dir DIR');
  if (handbook !== undefined && page === undefined)
    throw new UsageError('--handbook goes with --page FILE.html');
}

/**
 * An asset that is mended over itself: what a link leads to is mended, not the link. Throws UsageError
 * for a file that may not be written.
 */
export function placeOver(path: string, given: string, cwd: string): MendPlace {
  const rest = { way: 'in-place', replace: false, sound: 'leave', ...NONE_SHARED } as const;
  // That it is missing is reported when it is read.
  if (!existsSync(path)) return { ...rest, target: path, shown: given };
  try {
    accessSync(path, constants.W_OK);
  } catch {
    throw new UsageError(
      `${visible(given)} cannot be written; name another file with --out, or change the permissions of this one`,
    );
  }
  const target = realpathSync(path);
  // What a link leads to is mended, and that has to be said.
  const isLink = lstatSync(path).isSymbolicLink();
  return { ...rest, target, shown: isLink ? relative(realpathSync(cwd), target) : given };
}
