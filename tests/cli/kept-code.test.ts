import { execFileSync, spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import nodeModule from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { workerFlags } from '../../src/batch/pool.js';
import { DEFAULT_LIMITS } from '../../src/batch/task-limits.js';
import { built } from '../support/built.js';
import { tempFolder } from '../support/temp-folder.js';

/** Whether Node keeps compiled code by itself (from 22 on, `module.enableCompileCache`). */
const NODE_KEEPS = 'enableCompileCache' in nodeModule;

// What is built is damaged here, and other tests run it.
const folder = mkdtempSync(join(tmpdir(), 'trysquare-kept-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
cpSync(built.folder, folder, { recursive: true, verbatimSymlinks: true });
const KEEP = ['--import', 'tsx', 'fixtures/keep-code.ts'];
execFileSync(process.execPath, KEEP, { cwd: folder });

const dist = (name: string): string => join(folder, 'dist', name);

/** Checks two sound assets by two workers; exit code, signal and standard error. */
function checkTwo(env: NodeJS.ProcessEnv = process.env): unknown[] {
  const cwd = tempFolder({ 'heron.glb': buildGlb('heron'), 'mule.glb': buildGlb('mule') });
  const args = [join(folder, 'bin/trysquare.cjs'), 'check', '.', '--workers', '2'];
  const { status, signal, stderr } = spawnSync(process.execPath, args, { cwd, env });
  return [status, signal, String(stderr)];
}

const FINE = [0, null, ''];

/** Some ways in which a file is no longer what was written. */
const DAMAGES: readonly (readonly [string, (bytes: Buffer) => Buffer])[] = [
  ['empty', () => Buffer.alloc(0)],
  ['cut off', (bytes) => bytes.subarray(0, bytes.length >> 1)],
  ['of something else', (bytes) => Buffer.alloc(bytes.length, 'lantern ')],
  ...[0.1, 0.5, 0.9].map(
    (share) =>
      [
        `changed in a byte ${100 * share} % of the way through`,
        (bytes: Buffer): Buffer => {
          const copy = Buffer.from(bytes);
          const at = Math.floor(share * copy.length);
          copy[at] = (copy[at] ?? 0) ^ 0xff;
          return copy;
        },
      ] as const,
  ),
];

describe.skipIf(NODE_KEEPS)('code that the build keeps, before Node 22', () => {
  /** Standard output of a process that `lines` are run in, `take(role)` being what the engine says of kept code: false when it took it, undefined when it was given none. */
  function say(
    lines: readonly string[],
    flags: readonly string[] = [],
    before: readonly string[] = [],
  ): string[] {
    const kept = JSON.stringify(join(folder, 'bin/kept-code.cjs'));
    const take = `const { compileKept, keepCode } = require(${kept}), take = (role) => compileKept(role).script.cachedDataRejected`;
    const args = [...flags, '-e', [...before, take, ...lines].join(';')];
    return execFileSync(process.execPath, args, { encoding: 'utf8' }).trim().split('\n');
  }

  it('is taken as long as engine and command are the same', () => {
    // Engines that differ in less than they compare take each other's code and crash.
    const parts = ['version', 'arch', 'config'];
    const others = parts.map(
      (part) =>
        `{ const { ${part} } = process; Object.defineProperty(process, '${part}', { value: 'another', configurable: true }); console.log(take('command')); Object.defineProperty(process, '${part}', { value: ${part} }) }`,
    );
    const another = [
      "const fs = require('node:fs'), read = fs.readFileSync",
      "fs.readFileSync = (path, ...rest) => /cli\\.cjs$/.test(path) ? Buffer.concat([read(path), Buffer.from('\\n;')]) : read(path, ...rest)",
    ];
    const tell = "console.log(take('command'))";
    expect(say([tell, ...others, tell])).toEqual([
      'false',
      ...parts.map(() => 'undefined'),
      'false',
    ]);
    expect(say([tell], [], another)).toEqual(['undefined']);
  });

  it('is taken by a worker that has the flags it was kept under, and by no other process', () => {
    const tell = ["console.log(take('worker'))"];
    expect(say(tell, workerFlags(DEFAULT_LIMITS))).toEqual(['false']);
    expect(say(tell)).toEqual(['true']);
  });

  it('is left alone when it is damaged', () => {
    const bytes = readFileSync(dist('command.code'));
    const roles = DAMAGES.map(([, damage], at) => {
      writeFileSync(dist(`damaged-${at}.code`), damage(bytes));
      return `damaged-${at}`;
    });
    const lines = [...roles, 'command'].map((role) => `console.log(take('${role}'))`);
    expect(say(lines)).toEqual([...roles.map(() => 'undefined'), 'false']);
  });

  it('is sealed, and left alone when it is damaged, also where Node has no sum to seal it by', () => {
    const kept = JSON.stringify(dist('without-sum.code'));
    const lines = [
      "keepCode('without-sum', compileKept('without-sum').script)",
      "console.log(take('without-sum'))",
      `const fs = require('node:fs'), bytes = fs.readFileSync(${kept})`,
      `bytes[bytes.length >> 1] ^= 0xff, fs.writeFileSync(${kept}, bytes)`,
      "console.log(take('without-sum'))",
    ];
    const before = ["Object.defineProperty(require('node:zlib'), 'crc32', { value: undefined })"];
    expect(say(lines, [], before)).toEqual(['false', 'undefined']);
    // Sealed in another way, it is of another engine.
    expect(say(["console.log(take('command'))"], [], before)).toEqual(['undefined']);
  });

  it.each([
    [
      'is not taken by the engine',
      'bin/kept-code.cjs',
      (text: string) =>
        // A flag set before it is made: no later process has it.
        text.replace(
          'script.createCachedData()',
          "(require('node:v8').setFlagsFromString('--interrupt-budget=1000'), script.createCachedData())",
        ),
      /the code kept for the command is not taken/,
    ],
    [
      'is of a command that is not plain ASCII',
      'dist/cli.cjs',
      (text: string) => `${text}\n// \u00e9`,
      /dist\/cli\.cjs is not plain ASCII/,
    ],
  ] as const)('fails the build when it %s', (_title, name, change, fault) => {
    const path = join(folder, name);
    const [before, code] = [path, dist('command.code')].map((file) => readFileSync(file));
    writeFileSync(path, change(String(before)));
    try {
      const { status, stderr } = spawnSync(process.execPath, KEEP, { cwd: folder });
      expect([status, String(stderr)]).toEqual([1, expect.stringMatching(fault)]);
    } finally {
      writeFileSync(path, before ?? '');
      writeFileSync(dist('command.code'), code ?? '');
    }
  });

  it('does a check no harm when it is damaged', () => {
    const [, damage = (bytes: Buffer) => bytes] = DAMAGES.at(-1) ?? [];
    const kept = ['command.code', 'worker.code'].map((name) => {
      const bytes = readFileSync(dist(name));
      writeFileSync(dist(name), damage(bytes));
      return { name, bytes };
    });
    try {
      expect(checkTwo()).toEqual(FINE);
    } finally {
      for (const { name, bytes } of kept) writeFileSync(dist(name), bytes);
    }
  });

  it('is not written by a run, so that an installation may be read-only', () => {
    const kept = readFileSync(dist('worker.code'));
    rmSync(dist('worker.code'));
    try {
      const before = readdirSync(dist('.')).map((name) => [name, statSync(dist(name)).mtimeMs]);
      expect(checkTwo()).toEqual(FINE);
      const after = readdirSync(dist('.')).map((name) => [name, statSync(dist(name)).mtimeMs]);
      expect(after).toEqual(before);
    } finally {
      writeFileSync(dist('worker.code'), kept);
    }
  });
});

describe.runIf(NODE_KEEPS)('code that Node keeps, from 22 on', () => {
  const cacheIn = (path: string): NodeJS.ProcessEnv => ({
    ...process.env,
    NODE_COMPILE_CACHE: path,
  });
  const keptIn = (path: string): string[] =>
    readdirSync(path, { recursive: true, encoding: 'utf8' })
      .map((name) => join(path, name))
      .filter((name) => statSync(name).isFile());

  it('is kept of the command and of its workers, whose flags are others', () => {
    const cache = tempFolder({});
    expect(checkTwo(cacheIn(cache))).toEqual(FINE);
    const large = keptIn(cache).filter((name) => statSync(name).size > 100_000);
    expect(large).toHaveLength(2);
    expect(readdirSync(dist('.')).filter((name) => name.endsWith('.code'))).toEqual([]);
  });

  it.each(DAMAGES)('harms nothing when it is %s', (_title, damage) => {
    const cache = tempFolder({});
    checkTwo(cacheIn(cache));
    const kept = keptIn(cache);
    expect(kept.length).toBeGreaterThan(1);
    for (const path of kept) writeFileSync(path, damage(readFileSync(path)));
    expect(checkTwo(cacheIn(cache))).toEqual(FINE);
  });

  it('is done without where there is no room for it', () => {
    const cache = join(tempFolder({ 'no-folder': '' }), 'no-folder');
    expect(checkTwo(cacheIn(cache))).toEqual(FINE);
  });
});

it('the command is plain ASCII, which the engine holds in half the room and reads sooner', () => {
  const source = readFileSync(dist('cli.cjs'));
  expect(source.length).toBeGreaterThan(100_000);
  expect(source.every((byte) => byte < 128)).toBe(true);
});
