import { spawnSync } from 'node:child_process';
import { readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { built } from '../support/built.js';
import { tempFolder } from '../support/temp-folder.js';

vi.setConfig({ testTimeout: 60_000 });

/** The limit that a run gets, as getrlimit(2) RLIMIT_NOFILE: far above what it needs. */
const LIMIT = 200;

/** Opens files until the system refuses, just before a function is called with a path. */
const USE_UP = {
  'use-up.cjs': `const fs = require('node:fs');
    const [of, name, ending] = process.env.USE_UP.split(' ');
    const { openSync } = fs;
    const from = require(of);
    const real = from[name];
    from[name] = (path, ...others) => {
      if (String(path).replace(/\\/$/, '').endsWith(ending))
        try {
          for (;;) openSync('/dev/null', 'r');
        } catch {}
      return real(path, ...others);
    };`,
};

interface Ended {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

function run(cwd: string, args: readonly string[], limit: number, useUp: string | null): Ended {
  const script = `ulimit -n ${limit} && exec "$@"`;
  const command = [process.execPath, join(built.folder, 'bin/trysquare.cjs'), ...args];
  const { status, stdout, stderr } = spawnSync('sh', ['-c', script, 'sh', ...command], {
    cwd,
    encoding: 'utf8',
    env: {
      ...process.env,
      ...(useUp !== null && {
        USE_UP: useUp,
        NODE_OPTIONS: `--require ${join(tempFolder(USE_UP), 'use-up.cjs')}`,
      }),
    },
  });
  return { code: status, stdout, stderr };
}

const OUT_OF_FILES =
  'trysquare: too many files are open, and no other file can be opened; close programs, raise the limit of open files (ulimit -n), or check with fewer --workers\n';

describe('where no more files can be opened', () => {
  const cast = () =>
    tempFolder({ 'cast/heron.glb': buildGlb('heron'), 'cast/mule.glb': buildGlb('mule') });

  it.each([
    {
      while: 'one asset is read',
      args: ['check', 'cast/heron.glb'],
      useUp: 'node:fs openSync heron.glb',
    },
    {
      while: 'a worker reads an asset',
      args: ['check', 'cast'],
      useUp: 'node:fs openSync mule.glb',
    },
    { while: 'a folder is searched', args: ['check', 'cast'], useUp: 'node:fs readdirSync cast' },
    {
      while: 'an asset is hashed for the cache',
      args: ['check', 'cast', '--cache', 'kept'],
      useUp: 'node:fs openSync heron.glb',
    },
    {
      while: 'an asset is drawn',
      args: ['draw', 'cast/heron.glb'],
      useUp: 'node:fs openSync heron.glb',
    },
    {
      while: 'an asset is mended',
      args: ['mend', 'cast/heron.glb', '-o', 'mended.glb'],
      useUp: 'node:fs openSync heron.glb',
    },
    {
      while: 'a folder of assets is mended',
      args: ['mend', 'cast', '--out-dir', 'out'],
      useUp: 'node:fs openSync mule.glb',
    },
    { while: 'a class is graded', args: ['grade', 'cast'], useUp: 'node:fs openSync heron.glb' },
  ])('while $while, the run ends with one line that blames no rig', ({ args, useUp }) => {
    const cwd = cast();
    const { code, stderr, stdout } = run(cwd, args, LIMIT, useUp);
    expect({ code, stderr }).toEqual({ code: 2, stderr: OUT_OF_FILES });
    expect(stdout).not.toMatch(/unreadable|cannot be read/);
    expect(readdirSync(cwd).filter((name) => name !== 'kept')).toEqual(['cast']);
  });

  it('for more workers than there are files for, it says to have fewer', () => {
    const cwd = cast();
    for (let at = 0; at < 12; at++)
      writeFileSync(join(cwd, `cast/heron-${at}.glb`), buildGlb('heron'));
    const { code, stderr } = run(cwd, ['check', 'cast', '--workers', '12'], 64, null);
    expect({ code, stderr }).toEqual({ code: 2, stderr: OUT_OF_FILES });
    expect(run(cwd, ['check', 'cast', '--workers', '2', '-q'], 64, null).code).toBe(0);
  });
});
