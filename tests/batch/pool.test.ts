import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openPool } from '../../src/batch/pool.js';
import type { CheckTask } from '../../src/batch/task.js';
import { defaultSettings, plainSettings } from '../../src/check/settings.js';
import { repository } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

const task: CheckTask = {
  path: 'heron.glb',
  name: 'heron.glb',
  settings: plainSettings(defaultSettings([])),
  hash: false,
  text: false,
  draw: false,
  cache: null,
};

/** The answer of a worker that found the asset sound. */
const SOUND = `({ text: null, report: { path: task.name, verdict: 'sound', unreadable: null,
  container: null, rigs: [], findings: [],
  counts: { error: 0, warning: 0, note: 0 } } })`;

/** A pool whose workers do `work`, the body of an async function of `task` and `seconds`. */
function poolOf(work: string, limits = { seconds: 1, mebibytes: 32 }, grace = 5) {
  const cwd = tempFolder({
    'worker.cjs': `require(${JSON.stringify(`${repository}/node_modules/workerpool`)}).worker({
      async runWithin(task, seconds) { ${work} } });`,
  });
  const pool = openPool(`${cwd}/worker.cjs`, 1, 1, limits, grace);
  onTestFinished(() => pool.close());
  return pool;
}

async function reasonOf(work: string): Promise<string | undefined> {
  return (await poolOf(work).check(task)).report.unreadable?.reason;
}

describe('a worker and the process that waits for it', () => {
  it('a result that has come counts, though the process that waits was busy until after the limit', async () => {
    const pool = poolOf(`await new Promise((done) => setTimeout(done, 700)); return ${SOUND};`);
    const result = pool.check(task);
    // The worker has started by then and answers while this thread is as busy as with a long report.
    await wait(400);
    // What comes after an immediate is first the timers that are due, and only then what has arrived.
    await new Promise((done) => setImmediate(done));
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 1500);
    expect((await result).report.verdict).toBe('sound');
  });

  it('the worker is told the limit, so that it takes the time itself', async () => {
    const report = `{ ...answer.report, path: String(seconds) }`;
    const pool = poolOf(`const answer = ${SOUND}; return { ...answer, report: ${report} };`, {
      seconds: 7,
      mebibytes: 32,
    });
    expect((await pool.check(task)).report.path).toBe('7');
  });

  it('one that hangs where nothing in it can interrupt it is ended, and the next asset checked', async () => {
    const hangs = `if (task.name === 'hangs') for (;;); return ${SOUND};`;
    const pool = poolOf(hangs, { seconds: 1, mebibytes: 32 }, 0.5);
    const { report } = await pool.check({ ...task, name: 'hangs' });
    expect(report.unreadable?.reason).toContain('longer than the limit of 1 s');
    expect((await pool.check(task)).report.verdict).toBe('sound');
  });
});

describe('a worker that ends instead of answering', () => {
  it('for want of memory is told so, with the limit', async () => {
    const reason = await reasonOf(`const all = []; for (;;) all.push({ some: [all.length] });`);
    expect(reason).toBe(
      'checking it takes more memory than the limit of 32 MiB; set another limit with --memory-limit',
    );
  });

  it.each([
    ['by an abort of its own', 'process.abort();', /crashed twice \(SIGABRT\).*report it/],
    [
      'by a fault of the engine',
      'process.kill(process.pid, "SIGSEGV");',
      /crashed twice \(SIGSEGV\)/,
    ],
    ['by a kill', 'process.kill(process.pid, "SIGKILL");', /killed twice \(SIGKILL\)/],
    ['by another signal', 'process.kill(process.pid, "SIGHUP");', /by the signal SIGHUP/],
    ['with an exit code', 'process.exit(7);', /ended twice with exit code 7/],
    ['with an error', 'throw new Error("the lamp is out");', /failed twice: the lamp is out/],
  ])('%s is told so, and not as one that took too much memory', async (_, work, words) => {
    const wait = 'await new Promise((done) => setTimeout(done, 1000));';
    const reason = await reasonOf(`${work} ${wait}`);
    expect(reason).toMatch(words);
    expect(reason).not.toContain('--memory-limit');
  });

  it('gets a second try', async () => {
    const cwd = tempFolder();
    const once = `const { existsSync, writeFileSync } = require('node:fs');
      if (!existsSync('${cwd}/tried')) { writeFileSync('${cwd}/tried', ''); process.abort(); }`;
    expect((await poolOf(`${once} return ${SOUND};`).check(task)).report.verdict).toBe('sound');
  });
});
