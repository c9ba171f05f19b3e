import type { readdirSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import { LinkedTree } from './linked-tree.js';

/** What a search found: a file, or anything else with the reason why it is not read. */
export interface Hit {
  readonly path: string;
  /** Null for a file. */
  readonly reason: string | null;
  /** Where it lies, whatever links to folders lead there: of two hits with one place, one is enough. */
  readonly place: string;
  /** Whether a link led there, so that it gives way to a hit without one. */
  readonly viaLink: boolean;
}

export interface SearchOptions {
  /** Real paths of other folders that are searched, into which links may lead, too. */
  inside(): readonly string[];
  /** Whether a link to a folder is not to be followed, by its path. */
  leavesOut(path: string): boolean;
  /** Whether a file is wanted by its name, be it that of a link or of what it leads to. By default any. */
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
  const found = globSync(pattern, {
    cwd,
    absolute: true,
    onlyFiles: true,
    caseSensitiveMatch: false,
    // The tree has followed them.
    followSymbolicLinks: false,
    // Of all the ways to call it, the library knows one: a path, and that entries are to have types.
    fs: { readdirSync: tree.read.bind(tree) as unknown as typeof readdirSync },
  })
    .map((path) => resolve(path))
    // A folder whose name is that of an asset would be taken with all that it holds.
    .filter((path) => isWanted(basename(path)));
  if (tree.trouble !== null) throw tree.trouble;
  const whyNoFile = (path: string): string | null => tree.noFiles.get(path) ?? null;
  // Links to files that are wanted by a name of theirs, which the link does not have.
  const misnamed = [...tree.linked].filter(
    ([path, real]) =>
      isWanted(basename(real)) && !isWanted(basename(path)) && !basename(path).startsWith('.'),
  );
  return [
    ...found.map((path) => ({ path, reason: whyNoFile(path), ...tree.placeOf(path) })),
    ...[...tree.closed].map(([path, reason]) => ({ path, reason, ...tree.placeOf(path) })),
    ...misnamed.map(([path, place]) => ({ path, reason: whyNoFile(path), place, viaLink: true })),
  ];
}
