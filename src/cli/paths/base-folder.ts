import { realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { counted } from '../../report/finding-words.js';
import { isBelow } from '../../report/sarif-uri.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';

export interface BaseFlags {
  /** The folder that paths in SARIF are relative to, as given. */
  readonly base?: string;
  readonly quiet?: boolean;
}

/**
 * The folder that paths in SARIF are relative to, by each of its names: as given, and with links
 * followed, since what runs us may know its own folder by either. None for the working folder.
 * Throws UsageError.
 */
export function baseNames({ base }: BaseFlags, { cwd }: Io): readonly string[] {
  if (base === undefined) return [];
  const path = resolve(cwd, base);
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory() !== true)
    throw new UsageError(`--base names ${visible(base)}, which is not a folder`);
  return [...new Set([path, realpathSync(path)])].map(slashes);
}

/** Says which assets a service will not find, since they do not lie in the folder of `--base`. */
export async function tellOutside(
  paths: readonly string[],
  flags: BaseFlags,
  io: Io,
): Promise<void> {
  if (flags.base === undefined || flags.quiet === true) return;
  const names = baseNames(flags, io);
  const outside = paths.filter((path) => path !== '-' && !isBelow(path, slashes(io.cwd), names));
  const [first] = outside;
  if (first === undefined) return;
  const which =
    outside.length === 1
      ? `${visible(first)} does`
      : `${counted(outside.length, 'asset')}, the first ${visible(first)}, do`;
  await writeText(
    io.stderr,
    `trysquare: ${which} not lie in the folder of --base, ${visible(flags.base)}, so a service cannot show where the findings are; name a folder above all assets\n`,
  );
}
