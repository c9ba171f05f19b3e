import type { readdirSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import { LinkedTree } from './linked-tree.js';

/** What a search found: a file, or something that is none with the reason why it is not read. */
export interface Hit {
  readonly path: string;
  /** Null for a file. */
  readonly reason: string | null;
  /** Where it lies, whatever links to folders lead there: of two hits with one place, one is enough. */
  readonly place: string;
  /** Whether it was come to through a link, so that it gives way to a hit that was not. */
  readonly viaLink: boolean;
}

export interface SearchOptions {
  /** Real paths of other folders that are searched, into which links may lead, too. */
  inside(): readonly string[];
  /** Whether a link to a folder is not to be followed, by its path. */
  leavesOut(path: string): boolean;
  /** Names that files must have, be it that of a link or of what it leads to. By default any. */
  isWanted?(name: string): boolean;
}

/** All that fits a pattern from `cwd` on, in no order. Case does not matter, as on some machines it cannot. Throws MachineError. */
export async function searchTree(
  pattern: string,
  cwd: string,
  { inside, leavesOut, isWanted = () => true }: SearchOptions,
): Promise<Hit[]> {
  // A single file needs no search.
  const { globSync } = await import('tinyglobby');
  const tree = new LinkedTree(inside(), leavesOut);
  const read = (path: string) => tree.read(path);
  const found = globSync(pattern, {
    cwd,
    absolute: true,
    onlyFiles: true,
    caseSensitiveMatch: false,
    // The tree has followed them.
    followSymbolicLinks: false,
    // Of all the ways to call it, the library knows one: a path, and that entries are to have types.
    fs: { readdirSync: read as unknown as typeof readdirSync },
  })
    .map((path) => resolve(path))
    // A folder whose name is that of an asset would be taken with all that it holds.
    .filter((path) => isWanted(basename(path)));
  if (tree.trouble !== null) throw tree.trouble;
  const hit = (path: string, reason: string | null): Hit => ({
    path,
    reason,
    ...tree.placeOf(path),
  });
  const files = found.map((path) => hit(path, tree.noFiles.get(path) ?? null));
  const closed = [...tree.closed].map(([path, reason]) => hit(path, reason));
  return [...files, ...closed, ...misnamed(tree, isWanted)];
}

/** Links to files that are wanted by their own name, which the link does not have. */
function misnamed(tree: LinkedTree, isWanted: (name: string) => boolean): Hit[] {
  return [...tree.linked]
    .filter(([path, real]) => isWanted(basename(real)) && !isWanted(basename(path)))
    .filter(([path]) => !basename(path).startsWith('.'))
    .map(([path, place]) => ({
      path,
      reason: tree.noFiles.get(path) ?? null,
      place,
      viaLink: true,
    }));
}
