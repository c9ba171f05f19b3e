import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { isWithin } from '../paths/link-end.js';

/** Where the key lies. */
export interface KeyPlace {
  readonly path: string;
  readonly shown: string;
}

/**
 * Where the key goes: what `--key` says, else beside the folder of the grades. Throws UsageError where it
 * would be handed out, or handed in, with the rest.
 */
export function keyPlace(
  key: string | undefined,
  out: string,
  from: string,
  { cwd }: Io,
): KeyPlace {
  const shown = key ?? `${out.replace(/[\\/]+$/, '')}-key.csv`;
  const path = resolve(cwd, shown);
  if (isWithin(path, resolve(cwd, out)))
    throw new UsageError(
      `the key would go to ${visible(shown)}, which is in the folder of the grades and could be handed out with them; name another place with --key`,
    );
  if (isWithin(path, from))
    throw new UsageError(
      `the key would go to ${visible(shown)}, which is in the folder of the class and could be seen there; name another place with --key`,
    );
  return { path, shown };
}
