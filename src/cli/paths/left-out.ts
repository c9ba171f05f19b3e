import { relative } from 'node:path';
import { slashes } from '../../report/slashes.js';

/** Files and folders that a search leaves out. */
export interface LeftOut {
  readonly patterns: readonly string[];
  /** What they are relative to. */
  readonly folder: string;
  /** Who says so, for people: `--without`, or a standard. */
  readonly by: string;
}

/** What `--without` leaves out, with what the standard does. */
export function leftOut(
  patterns: readonly string[] | undefined,
  cwd: string,
  standard: LeftOut | null,
): LeftOut[] {
  const own = patterns && { patterns, folder: cwd, by: '--without' };
  return [own ?? [], standard ?? []].flat();
}

/** Tells who has a path left out; null where nobody has. */
export async function leavesOut(all: readonly LeftOut[]): Promise<(path: string) => string | null> {
  if (all.length === 0) return () => null;
  const { default: picomatch } = await import('picomatch/posix.js');
  const tests = all.map(({ patterns, folder, by }) => {
    // The name of a folder stands for all that it holds. Case as in the search itself.
    const fits = picomatch(
      patterns
        .map((pattern) => slashes(pattern).replace(/^(\.\/)+|\/+$/g, ''))
        .flatMap((pattern) => [pattern, `${pattern}/**`]),
      { nocase: true, dot: true },
    );
    return { by, fits: (path: string): boolean => fits(slashes(relative(folder, path))) };
  });
  return (path) => tests.find(({ fits }) => fits(path))?.by ?? null;
}
