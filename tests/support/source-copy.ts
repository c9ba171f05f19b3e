import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const repository = fileURLToPath(new URL('../..', import.meta.url)).replace(/\/$/, '');

/** What a tag of the repository holds of it, as far as building and running need it. */
const SOURCE = [
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
 * A copy in which the command is built, and `path`, a folder to put before PATH that holds it as
 * `trysquare`, as an installation would. Independent of `dist`, which other tests build anew.
 */
export function builtCopy(): { readonly folder: string; readonly path: string } {
  const folder = sourceCopy();
  symlinkSync(join(repository, 'node_modules'), join(folder, 'node_modules'));
  execFileSync('npm', ['run', '--silent', 'bundle:command'], { cwd: folder });
  const path = join(folder, 'installed');
  mkdirSync(path);
  symlinkSync(join(folder, 'bin/trysquare.cjs'), join(path, 'trysquare'));
  return { folder, path };
}

/**
 * An `npm` to put before the real one, which has no registry to ask: `npm ci` takes over the
 * packages that are here, all else is real. It notes what it was asked in `asked.txt`.
 */
export function npmWithoutRegistry(folder: string): string {
  const path = join(folder, 'npm-without-registry');
  mkdirSync(path);
  const script = [
    '#!/bin/sh',
    `echo "$@" >> '${folder}/asked.txt'`,
    `if [ "$1" = ci ]; then exec ln -s '${repository}/node_modules' node_modules; fi`,
    `exec '${execFileSync('which', ['npm'], { encoding: 'utf8' }).trim()}' "$@"`,
  ];
  writeFileSync(join(path, 'npm'), `${script.join('\n')}\n`);
  chmodSync(join(path, 'npm'), 0o755);
  return path;
}

/**
 * What `npm pack` makes of a copy, unpacked as an installation lays it out, and the lines it printed.
 * `path` holds the command as `trysquare`; `prepared` tells whether `prepare`, which npm runs in what
 * it takes from a git repository, had built it before.
 */
export function packedCopy(): {
  readonly folder: string;
  readonly path: string;
  readonly prepared: boolean;
  readonly printed: readonly string[];
} {
  const folder = sourceCopy();
  for (const name of ['README.md', 'LICENSE']) cpSync(join(repository, name), join(folder, name));
  symlinkSync(join(repository, 'node_modules'), join(folder, 'node_modules'));
  execFileSync('npm', ['run', '--silent', 'prepare'], { cwd: folder });
  const prepared = existsSync(join(folder, 'dist/cli.cjs'));
  const printed = execFileSync('npm', ['pack'], {
    cwd: folder,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  })
    .trimEnd()
    .split('\n');
  const packed = printed.at(-1) ?? '';
  const path = join(folder, 'installed');
  mkdirSync(path);
  execFileSync('tar', ['-xzf', join(folder, packed), '-C', path]);
  symlinkSync(join(repository, 'node_modules'), join(path, 'package/node_modules'));
  symlinkSync(join(path, 'package/bin/trysquare.cjs'), join(path, 'trysquare'));
  return { folder, path, prepared, printed };
}
