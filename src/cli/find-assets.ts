import { statSync } from 'node:fs';
import { relative, resolve } from 'node:path';

/** One thing to check: an asset, or a path at which none was found. */
export type FoundAsset =
  | { readonly kind: 'file'; readonly path: string; readonly shown: string }
  | { readonly kind: 'stdin'; readonly shown: string }
  | { readonly kind: 'nothing'; readonly shown: string; readonly reason: string };

const ASSETS = '**/*.{glb,gltf,vrm}';

/**
 * The assets behind the paths given: files as they are, folders searched to the bottom, patterns
 * expanded, `-` for standard input. Each file once, in path order whatever the order on disk.
 */
export async function findAssets(paths: readonly string[], cwd: string): Promise<FoundAsset[]> {
  const found = new Map<string, FoundAsset>();
  for (const path of paths) {
    for (const item of await expand(path, cwd)) {
      const key = item.kind === 'file' ? item.path : `${item.kind} ${item.shown}`;
      if (!found.has(key)) found.set(key, item);
    }
  }
  return [...found.values()].sort((a, b) => (a.shown < b.shown ? -1 : a.shown > b.shown ? 1 : 0));
}

async function expand(path: string, cwd: string): Promise<FoundAsset[]> {
  if (path === '-') return [{ kind: 'stdin', shown: '-' }];
  const full = resolve(cwd, path);
  const stats = statSync(full, { throwIfNoEntry: false });
  if (stats?.isDirectory() === true) {
    const files = await search(ASSETS, full);
    if (files.length > 0) return files.map((file) => asFile(file, cwd, path));
    return [
      {
        kind: 'nothing',
        shown: slashes(path),
        reason: 'the folder holds no .glb, .gltf or .vrm file',
      },
    ];
  }
  if (stats === undefined && /[*?[\]{}!()]/.test(path)) {
    const files = await search(slashes(path), cwd);
    if (files.length > 0) return files.map((file) => asFile(file, cwd, path));
    return [{ kind: 'nothing', shown: slashes(path), reason: 'no file fits this pattern' }];
  }
  return [{ kind: 'file', path: full, shown: slashes(path) }];
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
