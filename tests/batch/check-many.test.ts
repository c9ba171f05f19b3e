import { describe, expect, it } from 'vitest';
import { checkMany, type Job } from '../../src/batch/check-many.js';
import type { CheckResult, CheckTask } from '../../src/batch/task.js';
import { unreadableReport } from '../../src/check/check-asset.js';
import { defaultSettings, plainSettings } from '../../src/check/settings.js';

const settings = plainSettings(defaultSettings([]));

function taskOf(name: string): CheckTask {
  return { path: name, name, settings, hash: false, text: false, draw: false, cache: null };
}

function resultOf(name: string): CheckResult {
  return { report: unreadableReport(name, 'no matter', null), text: null };
}

async function* jobsOf(
  names: readonly string[],
  onPull?: (name: string) => void,
): AsyncGenerator<Job> {
  for (const name of names) {
    onPull?.(name);
    yield { kind: 'check', task: taskOf(name) };
  }
}

async function namesOf(results: AsyncIterable<CheckResult>): Promise<string[]> {
  const names: string[] = [];
  for await (const { report } of results) names.push(report.path);
  return names;
}

const never = new AbortController().signal;

/** Resolves when told to, in any order. */
class Gates {
  private readonly open = new Map<string, () => void>();
  readonly started: string[] = [];

  readonly check = (task: CheckTask): Promise<CheckResult> => {
    this.started.push(task.name);
    return new Promise((resolve) => this.open.set(task.name, () => resolve(resultOf(task.name))));
  };

  release(name: string): void {
    this.open.get(name)?.();
  }
}

const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

describe('a list that is checked', () => {
  it('begins with the largest where sizes are known, and comes out in its order', async () => {
    const gates = new Gates();
    const sizes: Readonly<Record<string, number>> = { a: 1, b: 5, c: 9, d: 5 };
    const done = namesOf(
      checkMany(jobsOf(Object.keys(sizes)), {
        check: gates.check,
        workers: 2,
        signal: never,
        sizeOf: ({ name }) => sizes[name] ?? 0,
      }),
    );
    for (const name of ['c', 'b', 'd', 'a']) {
      await turn();
      gates.release(name);
    }
    expect(await done).toEqual(['a', 'b', 'c', 'd']);
    expect(gates.started).toEqual(['c', 'b', 'd', 'a']);
  });

  it('begins with the largest of those whose results may wait, so that memory does not grow', async () => {
    const names = Array.from({ length: 1000 }, (_, index) => `${index}`);
    const [started, pulled]: [number[], string[]] = [[], []];
    let most = 0;
    let given = 0;
    const check = async ({ name }: CheckTask): Promise<CheckResult> => {
      started.push(Number(name));
      most = Math.max(most, started.length - given);
      return resultOf(name);
    };
    const jobs = jobsOf(names, (name) => pulled.push(name));
    const all = checkMany(jobs, {
      check,
      workers: 2,
      signal: never,
      sizeOf: (t) => Number(t.name),
    });
    const came: string[] = [];
    for await (const { report } of all) {
      given++;
      came.push(report.path);
    }
    expect(came).toEqual(names);
    expect(started.slice(0, 2)).toEqual([127, 126]);
    expect(most).toBeLessThanOrEqual(128 + 1);
    expect(pulled).toHaveLength(1000);
  });

  it('comes out in its order, whatever finishes first', async () => {
    const gates = new Gates();
    const done = namesOf(
      checkMany(jobsOf(['a', 'b', 'c']), { check: gates.check, workers: 3, signal: never }),
    );
    for (const name of ['c', 'a', 'b']) {
      await turn();
      gates.release(name);
    }
    expect(await done).toEqual(['a', 'b', 'c']);
  });

  it('has at most as many under way as there are workers', async () => {
    let [running, most] = [0, 0];
    const check = async (task: CheckTask): Promise<CheckResult> => {
      most = Math.max(most, ++running);
      await turn();
      running--;
      return resultOf(task.name);
    };
    const names = Array.from({ length: 40 }, (_, at) => `n${at}`);
    expect(await namesOf(checkMany(jobsOf(names), { check, workers: 3, signal: never }))).toEqual(
      names,
    );
    expect(most).toBe(3);
  });

  it('takes no more of the list than a bound while the first is slow', async () => {
    const gates = new Gates();
    const pulled: string[] = [];
    const names = ['slow', ...Array.from({ length: 500 }, (_, at) => `n${at}`)];
    const check = (task: CheckTask): Promise<CheckResult> =>
      task.name === 'slow' ? gates.check(task) : Promise.resolve(resultOf(task.name));
    const done = namesOf(
      checkMany(
        jobsOf(names, (name) => pulled.push(name)),
        { check, workers: 2, signal: never },
      ),
    );
    for (let at = 0; at < 600; at++) await turn();
    expect(pulled.length).toBeLessThan(150);
    gates.release('slow');
    expect(await done).toEqual(names);
  });

  it('gives out what is done when it is stopped, in order, and waits for nothing else', async () => {
    const gates = new Gates();
    const abort = new AbortController();
    const done = namesOf(
      checkMany(jobsOf(['a', 'b', 'c', 'd']), {
        check: gates.check,
        workers: 3,
        signal: abort.signal,
      }),
    );
    await turn();
    gates.release('a');
    await turn();
    gates.release('c');
    await turn();
    abort.abort();
    expect(await done).toEqual(['a', 'c']);
    expect(gates.started).toEqual(['a', 'b', 'c', 'd']);
  });

  it('passes on what a check throws, for that is a fault of ours', async () => {
    const check = (): Promise<CheckResult> => Promise.reject(new Error('a bug'));
    await expect(
      namesOf(checkMany(jobsOf(['a', 'b']), { check, workers: 2, signal: never })),
    ).rejects.toThrow('a bug');
  });
});
