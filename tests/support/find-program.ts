import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/**
 * Where a program is that tests can do without: the file that an environment variable names, else the first
 * of some places, else one of its name on the path; null where there is none.
 *
 * @throws Error when the variable names a file that is not there.
 */
export function findProgram(
  variable: string,
  name: string,
  places: readonly string[] = [],
): string | null {
  const named = process.env[variable];
  if (named !== undefined && named !== '') {
    if (!existsSync(named)) throw new Error(`${variable} names ${named}, which is not there`);
    return named;
  }
  const folders = (process.env.PATH ?? '').split(delimiter);
  const all = [...places, ...folders.map((folder) => join(folder, name))];
  return all.find((place) => existsSync(place)) ?? null;
}
