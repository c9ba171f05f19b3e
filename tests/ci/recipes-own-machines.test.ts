import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type IJob, Job } from 'kubernetes-models/batch/v1';
import { describe, expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import { expectJoined, expectShares, machine, workspace } from '../support/ci-machine.js';
import { blockAfter } from '../support/docs/blocks.js';
import { readPage } from '../support/docs/read-page.js';
import { repository } from '../support/source-copy.js';

// Each runs whole processes, several of them.
vi.setConfig({ testTimeout: 60_000 });

const text = readPage('docs/ci.md');
const { run } = machine();
/** As Jenkins starts it. */
const SH = ['sh', '-e', '-c'];

// No reader of this form is to be had without Jenkins itself; what can be held is that its brackets
// close, that its shell lines are shell, and that they do what they should.
describe('Jenkins', () => {
  const block = blockAfter(text, '## Jenkins\n').replace(/^\s*\/\/.*\n/gm, '');
  const lines = [...block.matchAll(/^\s*sh '([^']*)'$/gm)].map((match) => match[1] ?? '');
  const values = [...(/values (.*)/.exec(block)?.[1] ?? '').matchAll(/'(\d+)'/g)];
  const parts = values.map((match) => match[1] ?? '');

  it('closes what it opens, and loops over the parts it made', () => {
    const open: string[] = [];
    const pairs: Readonly<Record<string, string>> = { '}': '{', ')': '(', ']': '[' };
    for (const [bracket] of block.replace(/'[^'\n]*'|"[^"\n]*"/g, '').matchAll(/[{}()[\]]/g)) {
      if (pairs[bracket] === undefined) open.push(bracket);
      else expect(open.pop()).toBe(pairs[bracket]);
    }
    expect(open).toEqual([]);
    expect(/for \(part in \[(.*)\]\)/.exec(block)?.[1]).toBe(
      parts.map((part) => `'${part}'`).join(', '),
    );
    expect(lines[0]).toContain(`--part "$PART/${parts.length}"`);
  });

  it('checks every rig once and fails by the joined report', () => {
    const cwd = workspace();
    for (const line of lines) expect(spawnSync('bash', ['-n', '-c', line]).status).toBe(0);
    const [part = '', all = ''] = lines;
    for (const PART of parts) expect(run(SH, part, cwd, { PART }).status).toBe(0);
    expectShares(cwd, parts.length);
    expect(run(SH, all, cwd).status).toBe(1);
    expectJoined(cwd, 'rigs.xml', 'rigs.md');
  });

  it('fails a part whose command is wrong', () => {
    const wrong = (lines[0] ?? '').replace('--part', '--parts');
    expect(run(SH, wrong, workspace(), { PART: '1' }).status).not.toBe(0);
  });
});

// Source of the form: npm kubernetes-models (MIT), made from the OpenAPI description of Kubernetes.
describe('Kubernetes', () => {
  const block = blockAfter(text, '## Kubernetes\n');
  // Its form is asserted by the first test.
  const manifest = parse(block) as IJob;
  const spec = manifest.spec?.template.spec;
  const container = spec?.containers[0];

  it('is a Job as Kubernetes describes it, with a volume for every mount', () => {
    new Job(manifest).validate();
    // Read from text, it can be anything; that it is refused is the point.
    const wrong = parse(block.replace('completions: 4', 'completions: four')) as IJob;
    expect(() => new Job(wrong).validate()).toThrow();
    expect(container?.volumeMounts?.map((mount) => mount.name)).toEqual(
      spec?.volumes?.map((volume) => volume.name),
    );
  });

  it('checks every rig once; the joined report is unsound', () => {
    const cwd = workspace();
    const reports = join(cwd, 'reports');
    mkdirSync(reports);
    const count = manifest.spec?.completions ?? 0;
    expect([manifest.spec?.completionMode, container?.command]).toEqual(['Indexed', ['sh', '-c']]);
    for (let index = 0; index < count; index++) {
      const env = { REPORTS: reports, JOB_COMPLETION_INDEX: String(index) };
      expect(run(container?.command ?? [], container?.args?.[0] ?? 'exit 9', cwd, env).status).toBe(
        0,
      );
    }
    expectShares(reports, count);
    const merge = /`(trysquare merge [^`]*)`/.exec(
      text.slice(text.indexOf('## Kubernetes\n')),
    )?.[1];
    expect(run(SH, merge ?? 'exit 9', cwd).status).toBe(1);
    expectJoined(cwd, 'all.sarif', 'all.json');
  });
});

it('pre-commit: the hooks it names are offered', () => {
  const { repos } = parse(blockAfter(text, '## Before a commit\n')) as {
    repos: { hooks: { id: string }[] }[];
  };
  // Read whole elsewhere.
  const offered = parse(readFileSync(join(repository, '.pre-commit-hooks.yaml'), 'utf8')) as {
    id: string;
  }[];
  const ids = offered.map((hook) => hook.id);
  for (const hook of repos.flatMap((repo) => repo.hooks)) expect(ids).toContain(hook.id);
  for (const id of ids) expect(text).toContain(`\`${id}\``);
});
