import { spawn, spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { IJob } from 'kubernetes-models/batch/v1';
import { describe, expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import type { Report } from '../../src/report/report-types.js';
import { built } from '../support/built.js';
import { blockAfter } from '../support/docs/blocks.js';
import { readPage } from '../support/docs/read-page.js';
import { tempFolder } from '../support/temp-folder.js';

vi.setConfig({ testTimeout: 60_000 });

// Containers number their processes from 1, so that runs in several of them have one id.
const SAME_ID = { 'same-id.cjs': `Object.defineProperty(process, 'pid', { value: 7 });` };

/** How runs come to have one process id: numbered anew by the kernel, as for containers, or told so. */
const NAMESPACE = ['unshare', '--user', '--map-root-user', '--pid', '--fork', '--mount-proc'];
const CAN_UNSHARE = spawnSync(NAMESPACE[0] ?? '', [...NAMESPACE.slice(1), 'true']).status === 0;

interface Way {
  readonly by: string;
  readonly before: readonly string[];
  readonly told: boolean;
}

/** As containers have it; told so where the system lets nobody number processes anew. */
const way: Way = CAN_UNSHARE
  ? { by: 'namespaces of process ids', before: NAMESPACE, told: false }
  : { by: 'process ids that are told to be one', before: [], told: true };

interface Ended {
  readonly code: number | null;
  readonly stderr: string;
}

function shell(
  { before, told }: Way,
  script: string,
  cwd: string,
  env: Readonly<Record<string, string>> = {},
): Promise<Ended> {
  const [first = '', ...others] = [...before, 'sh', '-c', script];
  const child = spawn(first, others, {
    cwd,
    env: {
      ...process.env,
      ...env,
      PATH: `${built.path}:${process.env.PATH ?? ''}`,
      ...(told && { NODE_OPTIONS: `--require ${join(tempFolder(SAME_ID), 'same-id.cjs')}` }),
    },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let stderr = '';
  child.stderr.on('data', (part) => {
    stderr += String(part);
  });
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stderr })));
}

/** Of each of the cast. */
const RIGS = 2;

/** Puppets in a folder, so many that runs at the same time meet. */
function theatre(): string {
  const cwd = tempFolder();
  mkdirSync(join(cwd, 'puppets'));
  for (const name of castNames)
    for (let at = 0; at < RIGS; at++)
      writeFileSync(join(cwd, `puppets/${name}-${at}.glb`), buildGlb(name));
  mkdirSync(join(cwd, 'reports'));
  return cwd;
}

// Read from a file that the command under test has written.
function reportIn(path: string): Report {
  return JSON.parse(readFileSync(path, 'utf8')) as Report;
}

describe(`runs at the same time with ${way.by}`, () => {
  it('as the recipe lets a cluster start them each write their part', async () => {
    const cwd = theatre();
    const reports = join(cwd, 'reports');
    // Its form is asserted by the tests of the recipes.
    const manifest = parse(blockAfter(readPage('docs/ci.md'), '## Kubernetes\n')) as IJob;
    const script = manifest.spec?.template.spec?.containers[0]?.args?.[0] ?? 'exit 9';
    const runs = await Promise.all(
      Array.from({ length: manifest.spec?.completions ?? 0 }, (_, index) =>
        shell(way, script, cwd, { REPORTS: reports, JOB_COMPLETION_INDEX: String(index) }),
      ),
    );
    expect(runs).toEqual(runs.map(() => ({ code: 0, stderr: '' })));
    expect(readdirSync(reports).sort()).toEqual([
      'part-1.json',
      'part-2.json',
      'part-3.json',
      'part-4.json',
    ]);
    const merged = await shell(way, 'trysquare merge reports/part-*.json --out all.json', cwd);
    expect(merged.code).toBe(0);
    expect(reportIn(join(cwd, 'all.json')).assets).toHaveLength(RIGS * castNames.length);
  });

  it('into one file leave the whole report of one, and the others say so', async () => {
    const cwd = theatre();
    const check = 'trysquare check puppets --quiet --workers 1';
    const runs = await Promise.all([
      shell(way, `${check} --out reports/one.json`, cwd),
      shell(way, `${check} --out reports/one.json --only skin`, cwd),
      shell(way, `${check} --out reports/two.json --replace`, cwd),
      shell(way, `${check} --out reports/two.json --replace --only skin`, cwd),
    ]);
    // Whoever is second must not write over the first.
    expect(
      runs
        .slice(0, 2)
        .map(({ code }) => code)
        .sort(),
    ).toEqual([0, 2]);
    expect(runs.find(({ code }) => code === 2)?.stderr).toMatch(
      /^trysquare: reports\/one\.json (cannot be written: another program put a file there|exists already).*\n$/,
    );
    expect(runs.slice(2).map(({ code }) => code)).toEqual([0, 0]);
    expect(readdirSync(join(cwd, 'reports')).sort()).toEqual(['one.json', 'two.json']);
    for (const name of ['one.json', 'two.json']) {
      const { totals, assets } = reportIn(join(cwd, 'reports', name));
      expect([totals.assets, assets.length]).toEqual([
        RIGS * castNames.length,
        RIGS * castNames.length,
      ]);
    }
  });
});

it('what a killed run leaves is left alone, and hinders no other', async () => {
  const cwd = theatre();
  const left = '.trysquare-0123456789abcdef.part';
  writeFileSync(join(cwd, 'reports', left), 'half a rep');
  const { code } = await shell(way, 'trysquare check puppets --quiet --out reports/r.json', cwd);
  expect(code).toBe(0);
  expect(readdirSync(join(cwd, 'reports')).sort()).toEqual([left, 'r.json']);
});
