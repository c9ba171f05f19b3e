import { realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';

/**
 * The folder that paths in SARIF are relative to, by each of its names: as given, and with links
 * followed, since what runs us may know its own folder by either. None for the working folder.
 * Throws UsageError.
 */
export function baseNames({ base }: { readonly base?: string }, { cwd }: Io): readonly string[] {
  if (base === undefined) return [];
  const path = resolve(cwd, base);
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory() !== true)
    throw new UsageError(`--base names ${visible(base)}, which is not a folder`);
  return [...new Set([path, realpathSync(path)])].map(slashes);
}
