import { dirname, relative } from 'node:path';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { Standard } from '../../standard/read-standard.js';
import { isWithin } from './link-end.js';

/** Files and folders that a search leaves out. */
export interface LeftOut {
  readonly patterns: readonly string[];
  /** What they are relative to. */
  readonly folder: string;
  /** Who says so, for people: `--without`, or a standard. */
  readonly by: string;
  /** Those patterns that nothing was left out by up to now; absent where nobody asks. */
  readonly idle?: Set<string>;
  /** Whether it counts for what lies in a folder; absent where it does everywhere. */
  isOf?(folder: string): boolean;
}

/** What else is left out of a folder, by standards that count there alone; the same list for the same standard. */
export type LeftOutOf = (folder: string) => readonly LeftOut[] | Promise<readonly LeftOut[]>;

/** What `--without` leaves out. */
export function leftOut(patterns: readonly string[] | undefined, cwd: string): LeftOut[] {
  return patterns === undefined
    ? []
    : [{ patterns, folder: cwd, by: '--without', idle: new Set(patterns) }];
}

/** What a standard and those that it takes from leave out, each relative to its own folder. */
export function leftOutBy({ without: patterns, folder, shown, above }: Standard): LeftOut[] {
  const own = { patterns, folder, by: `the standard ${visible(shown)}` };
  return [...(patterns.length > 0 ? [own] : []), ...(above === null ? [] : leftOutBy(above))];
}

/**
 * Tells who has a path left out; null where nobody has. A pattern with a slash is a path from its folder
 * on. One without is the name of a file or a folder, wherever it lies.
 */
export async function leavesOut(all: readonly LeftOut[]): Promise<(path: string) => string | null> {
  if (all.length === 0) return () => null;
  const { default: picomatch } = await import('picomatch/posix.js');
  const tests = all.map(({ patterns, folder, by, isOf, idle }) => {
    const each = patterns.map((pattern) => {
      const plain = slashes(pattern).replace(/\/+$/, '');
      const wanted = plain.includes('/') ? plain.replace(/^(\.\/+)+/, '') : `**/${plain}`;
      // The name of a folder stands for all that it holds. Case as in the search itself.
      const fits = picomatch([wanted, `${wanted}/**`], { nocase: true, dot: true });
      return { pattern, fits, isAnywhere: wanted.startsWith('**/') };
    });
    const counts = (path: string): boolean => isOf?.(dirname(path)) ?? true;
    const fitsOne = (path: string): boolean => {
      const from = slashes(relative(folder, path));
      // What lies outside the working folder is somewhere, too; a standard is of its own folder alone.
      const below = idle === undefined ? from : from.replace(/^(\.\.\/)+/, '');
      const found = each.filter(({ fits, isAnywhere }) => fits(isAnywhere ? below : from));
      for (const { pattern } of found) idle?.delete(pattern);
      return found.length > 0;
    };
    return { by, fits: (path: string): boolean => fitsOne(path) && counts(path) };
  });
  return (path) => tests.find(({ fits }) => fits(path))?.by ?? null;
}

/** A line for each pattern of `--without` that nothing was left out by, after the search. */
export function idlePatterns(all: readonly LeftOut[]): string[] {
  return all.flatMap(({ by, idle = [] }) =>
    [...idle].map(
      (pattern) =>
        `${by} "${visible(pattern)}" left out nothing: no file of a folder or pattern has this name or path`,
    ),
  );
}

/**
 * Tells who has a path left out by what counts in its folder alone, or in a folder on the way to it from
 * the one that is searched: what lies in a folder that is left out is out, whatever a standard in there
 * says.
 */
export function leavesOutWithin(
  of: LeftOutOf,
): (path: string, root: string) => Promise<string | null> {
  const tests = new Map<readonly LeftOut[], (path: string) => string | null>();
  const folders = new Map<string, string | null>();
  const by = async (path: string, root: string): Promise<string | null> => {
    const folder = dirname(path);
    const isBelow = folder !== root && folder !== dirname(folder) && isWithin(folder, root);
    if (isBelow && !folders.has(folder)) folders.set(folder, await by(folder, root));
    const above = isBelow ? folders.get(folder) : null;
    if (above != null) return above;
    const all = await of(folder);
    const test = tests.get(all) ?? (await leavesOut(all));
    tests.set(all, test);
    return test(path);
  };
  return by;
}
