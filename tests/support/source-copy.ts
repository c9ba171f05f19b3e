import { execFile, execFileSync } from 'node:child_process';
import { chmodSync, cpSync, mkdirSync, mkdtempSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { isBuildCurrent } from '../../fixtures/build-if-changed.js';

export const repository = fileURLToPath(new URL('../..', import.meta.url)).replace(/\/$/, '');

/** What `npm pack` made of a copy of the source, once for all tests, which leave it as it is. */
export interface Built {
  /** The copy: source, `dist`, and `node_modules` as a link. */
  readonly folder: string;
  /** To be put before PATH: holds the unpacked command as `trysquare`, as an installation would. */
  readonly path: string;
  /** The lines that `npm pack` printed. */
  readonly printed: readonly string[];
}

/** What came of the build. */
export interface Packing {
  readonly built: Built | null;
  readonly failed: string | null;
}

/** Name of the file in the copy that holds what came of the build, once it is done. */
export const BUILT = 'built.json';

/** What a tag of the repository holds of it, as far as building and running need it. */
export const SOURCE = [
  '.npmrc',
  'bin',
  'fixtures',
  'package-lock.json',
  'package.json',
  'rules',
  'src',
  'tsconfig.build.json',
  'tsconfig.json',
];

/** A folder with the repository's source and nothing built; the caller removes it. */
export function sourceCopy(): string {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-source-'));
  for (const name of SOURCE)
    cpSync(join(repository, name), join(folder, name), { recursive: true });
  return folder;
}

/**
 * An `npm` to put before the real one. It has no registry to ask, so that `npm ci` takes over the
 * packages that are here, and `npm run build` what was built once of the same source; all else is
 * real. It notes what it was asked in `asked.txt`.
 */
export function npmWithoutRegistry(folder: string, built: Built): string {
  const path = join(folder, 'npm-without-registry');
  mkdirSync(path);
  const script = [
    '#!/bin/sh',
    `echo "$@" >> '${folder}/asked.txt'`,
    `if [ "$1" = ci ]; then exec ln -s '${repository}/node_modules' node_modules; fi`,
    `if [ "$*" = 'run build' ]; then exec cp -r '${built.folder}/dist' dist; fi`,
    `exec '${execFileSync('which', ['npm'], { encoding: 'utf8' }).trim()}' "$@"`,
  ];
  writeFileSync(join(path, 'npm'), `${script.join('\n')}\n`);
  chmodSync(join(path, 'npm'), 0o755);
  return path;
}

/**
 * What `npm pack` makes of a copy, unpacked as an installation lays it out. It builds the copy, but where
 * the repository's own build is of this very source: that takes 20 s of a core.
 *
 * @param folder A source copy.
 */
export async function packed(folder: string): Promise<Built> {
  for (const name of ['README.md', 'LICENSE']) cpSync(join(repository, name), join(folder, name));
  symlinkSync(join(repository, 'node_modules'), join(folder, 'node_modules'));
  const isBuilt = isBuildCurrent();
  if (isBuilt) cpSync(join(repository, 'dist'), join(folder, 'dist'), { recursive: true });
  const { stdout } = await execute('npm', ['pack', ...(isBuilt ? ['--ignore-scripts'] : [])], {
    cwd: folder,
  });
  const printed = stdout.trimEnd().split('\n');
  const path = join(folder, 'installed');
  mkdirSync(path);
  await execute('tar', ['-xzf', join(folder, printed.at(-1) ?? ''), '-C', path]);
  symlinkSync(join(repository, 'node_modules'), join(path, 'package/node_modules'));
  symlinkSync(join(path, 'package/bin/trysquare.cjs'), join(path, 'trysquare'));
  return { folder, path, printed };
}

const execute = promisify(execFile);
