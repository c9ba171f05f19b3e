import { type LeftOut, type LeftOutOf, leftOut, leftOutBy } from '../paths/left-out.js';
import type { ChosenSettings } from './choose-settings.js';

/** What a search leaves out: wherever it looks, and in folders with a standard of their own. */
export interface SearchTerms {
  readonly without: readonly LeftOut[];
  readonly of: LeftOutOf;
}

/**
 * What `--without` and the standards leave out of a search. Every path is held to the standards that an
 * asset there is held to: a folder that takes nothing from above has nothing left out from there.
 */
export function searchTerms(
  patterns: readonly string[] | undefined,
  { without, lines, path }: ChosenSettings,
  cwd: string,
): SearchTerms {
  const given = leftOut(patterns, cwd);
  if (lines === null) return { without: [...given, ...without], of: () => [] };
  const isOfRun = (folder: string): boolean => [path, null].includes(lines.nearest(folder));
  const lists = new Map<string, readonly LeftOut[]>();
  const of: LeftOutOf = async (folder) => {
    const nearest = lines.nearest(folder);
    if (nearest === null || nearest === path) return [];
    const list = lists.get(nearest) ?? leftOutBy(await lines.read(nearest));
    lists.set(nearest, list);
    return list;
  };
  return { without: [...given, ...without.map((one) => ({ ...one, isOf: isOfRun }))], of };
}
