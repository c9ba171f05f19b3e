import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { refuseExisting } from '../output/write-output.js';
import { isWithin } from '../paths/link-end.js';
import { realOf } from '../paths/real-of.js';

/** Where the key lies. */
export interface KeyPlace {
  /** What a link leads to, not the link. */
  readonly path: string;
  readonly shown: string;
}

/**
 * Where the key goes: what `--key` says, else beside the folder of the grades. Throws UsageError where it
 * would be handed out, or handed in, with the rest, by whatever links.
 */
export function keyPlace(
  key: string | undefined,
  out: string,
  from: string,
  { cwd }: Io,
): KeyPlace {
  const shown = key ?? `${out.replace(/[\\/]+$/, '')}-key.csv`;
  if (shown === '' || shown === '-')
    throw new UsageError('--key has to name a file, such as course-key.csv');
  const given = resolve(cwd, shown);
  const path = realOf(given);
  // A link that leads nowhere.
  if (!existsSync(path)) refuseExisting(path, visible(shown), false);
  const isIn = (folder: string): boolean =>
    isWithin(given, folder) || isWithin(path, realOf(folder));
  if (isIn(resolve(cwd, out)))
    throw new UsageError(
      `the key would go to ${visible(shown)}, which is in the folder of the grades and could be handed out with them; name another place with --key`,
    );
  if (isIn(from))
    throw new UsageError(
      `the key would go to ${visible(shown)}, which is in the folder of the class and could be seen there; name another place with --key`,
    );
  return { path, shown };
}
