import { accessSync, constants, type Stats, statSync } from 'node:fs';
import { extname, relative, resolve } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { GARBLED, isGarbled } from '../asset/garbled-name.js';
import { byPath } from '../batch/path-order.js';

/** One thing to check: an asset, or a path at which none was found. */
export type FoundAsset =
  | { readonly kind: 'file'; readonly path: string; readonly shown: string }
  | { readonly kind: 'stdin'; readonly shown: string }
  | { readonly kind: 'nothing'; readonly shown: string; readonly reason: string };

const ENDINGS = ['glb', 'gltf', 'vrm'];
const ASSETS = `**/*.{${ENDINGS.join(',')}}`;

/** Whether files with this ending, in lower case, are taken for assets. */
export function isAssetEnding(ending: string): boolean {
  return ENDINGS.includes(ending);
}

/** Whether a file is taken for an asset by its name. */
export function isAssetName(name: string): boolean {
  return isAssetEnding(extname(name).slice(1).toLowerCase());
}

/** Whether a path at which nothing lies is to be expanded. */
export function isPattern(path: string): boolean {
  return /[*?[\]{}!()]/.test(path);
}

/**
 * The assets behind the paths given: files as they are, folders searched to the bottom, patterns
 * expanded, `-` for standard input. Each file once, in path order whatever the order on disk.
 *
 * @param without Patterns, relative to `cwd`, of files and folders that a search leaves out; a file
 *   that is named itself is not searched for.
 */
export async function findAssets(
  paths: readonly string[],
  cwd: string,
  without: readonly string[] = [],
): Promise<FoundAsset[]> {
  const isLeftOut = await leavesOut(without, cwd);
  const found = new Map<string, FoundAsset>();
  for (const path of paths) {
    const all = await expand(path, cwd);
    const wanted = isSearch(all, path, cwd)
      ? all.filter((item) => item.kind === 'stdin' || !isLeftOut(item))
      : all;
    // That nothing is left says as much as that nothing was found.
    const left: FoundAsset[] =
      wanted.length > 0
        ? wanted
        : [{ kind: 'nothing', shown: slashes(path), reason: 'all that was found is left out' }];
    for (const item of left.map(openable)) {
      const key = item.kind === 'file' ? item.path : `${item.kind} ${item.shown}`;
      if (!found.has(key)) found.set(key, item);
    }
  }
  return [...found.values()].sort((a, b) => byPath(a.shown, b.shown));
}

/** A name whose bytes are no UTF-8 is read as another one, under which nothing lies. */
function openable(item: FoundAsset): FoundAsset {
  return item.kind === 'file' && isGarbled(item.path)
    ? { kind: 'nothing', shown: item.shown, reason: GARBLED }
    : item;
}

/** Whether a path was searched, rather than being what it names. */
function isSearch(found: readonly FoundAsset[], path: string, cwd: string): boolean {
  const full = resolve(cwd, path);
  return path !== '-' && found.some((item) => item.kind !== 'file' || item.path !== full);
}

async function leavesOut(
  patterns: readonly string[],
  cwd: string,
): Promise<(item: FoundAsset) => boolean> {
  if (patterns.length === 0) return () => false;
  const { default: picomatch } = await import('picomatch/posix.js');
  // The name of a folder stands for all that it holds. Case as in the search itself.
  const each = patterns.map((pattern) => slashes(pattern).replace(/^(\.\/)+|\/+$/g, ''));
  const fits = picomatch(
    each.flatMap((pattern) => [pattern, `${pattern}/**`]),
    { nocase: true, dot: true },
  );
  return (item) => {
    const path = item.kind === 'file' ? item.path : resolve(cwd, item.shown);
    return fits(slashes(relative(cwd, path)));
  };
}

async function expand(path: string, cwd: string): Promise<FoundAsset[]> {
  if (path === '-') return [{ kind: 'stdin', shown: '-' }];
  const full = resolve(cwd, path);
  const stats = look(full);
  if (typeof stats === 'string') return [{ kind: 'nothing', shown: slashes(path), reason: stats }];
  if (stats?.isDirectory() === true) {
    const files = await search(ASSETS, full);
    const closed = await closedFolders(full, cwd, path);
    if (files.length + closed.length > 0)
      return [...files.map((file) => asFile(file, cwd, path)), ...closed];
    return [
      {
        kind: 'nothing',
        shown: slashes(path),
        reason: 'the folder holds no .glb, .gltf or .vrm file',
      },
    ];
  }
  if (stats === undefined && isPattern(path)) {
    const files = await filesFitting(path, cwd);
    if (files.length > 0) return files;
    return [{ kind: 'nothing', shown: slashes(path), reason: 'no file fits this pattern' }];
  }
  return [{ kind: 'file', path: full, shown: slashes(path) }];
}

/** The files that fit a pattern, in no order. */
export async function filesFitting(pattern: string, cwd: string): Promise<FoundAsset[]> {
  const files = await search(slashes(pattern), cwd);
  return files.map((file) => asFile(file, cwd, pattern));
}

/** Folders below that may not be looked into: what they hold was not checked, which must be told. */
async function closedFolders(folder: string, cwd: string, given: string): Promise<FoundAsset[]> {
  const { glob } = await import('tinyglobby');
  const folders = await glob('**/', {
    cwd: folder,
    absolute: true,
    onlyDirectories: true,
    followSymbolicLinks: false,
  });
  return [folder, ...folders].flatMap((path) => {
    try {
      accessSync(path, constants.R_OK | constants.X_OK);
      return [];
    } catch (error) {
      const { shown } = asFile(path, cwd, given);
      return [
        {
          kind: 'nothing' as const,
          shown,
          reason: `the folder cannot be searched: ${explain(error)}`,
        },
      ];
    }
  });
}

/** What is at a path; undefined for nothing, or why that cannot be told. */
function look(path: string): Stats | undefined | string {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch (error) {
    return explain(error);
  }
}

async function search(pattern: string, cwd: string): Promise<string[]> {
  // A single file needs no search.
  const { glob } = await import('tinyglobby');
  return glob(pattern, {
    cwd,
    absolute: true,
    onlyFiles: true,
    caseSensitiveMatch: false,
    followSymbolicLinks: false,
  });
}

/** Shown as it would be typed from here; absolute only when it was given so. */
function asFile(file: string, cwd: string, given: string): FoundAsset {
  const path = resolve(file);
  const absolute = resolve(given) === given;
  return { kind: 'file', path, shown: slashes(absolute ? path : relative(cwd, path)) };
}

function slashes(path: string): string {
  return process.platform === 'win32' ? path.replace(/\\/g, '/') : path;
}
