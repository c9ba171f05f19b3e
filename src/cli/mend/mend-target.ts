import { accessSync, constants, existsSync, realpathSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { refuseExisting } from '../output/write-output.js';
import { isSameFile } from '../paths/same-file.js';
import type { MendFlags } from './mend-flags.js';

/** Where the result goes; null for a dry run. Throws UsageError. */
export function chooseTarget(
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
