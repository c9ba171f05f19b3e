import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { workerFlags } from '../../src/batch/pool.js';
import { DEFAULT_LIMITS } from '../../src/batch/task-limits.js';
import { built } from '../support/built.js';

const { folder } = built;

/** What the engine says of the kept code in a process prepared by `lines`: false when it took it, undefined when it was given none. */
function rejected(...lines: string[]): string {
  return rejectedBy('command', [], lines);
}

function rejectedBy(role: string, flags: readonly string[], lines: readonly string[]): string {
  const script = [
    ...lines,
    `console.log(require(${JSON.stringify(join(folder, 'bin/compiled.cjs'))}).compile('${role}').script.cachedDataRejected)`,
  ];
  return execFileSync(process.execPath, [...flags, '-e', script.join(';')], {
    encoding: 'utf8',
  }).trim();
}

it('takes the code that the build kept, as long as engine and command are the same', () => {
  expect(rejected()).toBe('false');
  // Engines that differ in less than they compare take each other's code and crash.
  for (const part of ['process.version', 'process.arch'])
    expect(
      rejected(`Object.defineProperty(process, '${part.slice(8)}', { value: 'another' })`),
    ).toBe('undefined');
  expect(
    rejected(
      "const fs = require('node:fs'), read = fs.readFileSync",
      "fs.readFileSync = (path, ...rest) => /cli\\.cjs$/.test(path) ? Buffer.concat([read(path), Buffer.from('\\n;')]) : read(path, ...rest)",
    ),
  ).toBe('undefined');
});

it('a worker takes code that was kept under its own flags, and none of a process without them', () => {
  const flags = workerFlags(DEFAULT_LIMITS);
  expect(rejectedBy('worker', flags, [])).toBe('false');
  expect(rejectedBy('worker', [], [])).toBe('true');
});

it('the command is plain ASCII, which the engine holds in half the room and reads sooner', () => {
  const source = readFileSync(join(folder, 'dist/cli.cjs'));
  expect(source.length).toBeGreaterThan(100_000);
  expect(source.every((byte) => byte < 128)).toBe(true);
});
