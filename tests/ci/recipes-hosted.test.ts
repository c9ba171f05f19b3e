import { describe, expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import { action, runStep } from '../support/action-runner.js';
import { expectJoined, expectShares, machine, workspace } from '../support/ci-machine.js';
import { blockAfter } from '../support/docs/blocks.js';
import { readPage } from '../support/docs/read-page.js';
import { githubForms } from '../support/github-forms.js';

// Each runs whole processes, several of them.
vi.setConfig({ testTimeout: 60_000 });

const text = readPage('docs/ci.md');
const forms = await githubForms();
const { folder, run } = machine();
/** As GitLab's runner starts it where there is a bash. */
const BASH = ['bash', '-eo', 'pipefail', '-c'];

describe('GitHub Actions', () => {
  const block = blockAfter(text, '## GitHub Actions\n');

  interface UsedStep {
    readonly uses: string;
    readonly with?: Readonly<Record<string, string>>;
  }
  interface Workflow {
    readonly jobs: Readonly<
      Record<'part' | 'all', { readonly strategy?: Matrix; readonly steps: readonly UsedStep[] }>
    >;
  }
  interface Matrix {
    readonly matrix: { readonly part: readonly number[] };
  }
  // Its form is asserted by the first test.
  const { jobs } = parse(block) as Workflow;
  const ours = ({ steps }: { readonly steps: readonly UsedStep[] }): Record<string, string> => ({
    ...steps.find((step) => step.uses.startsWith('OWNER/trysquare@'))?.with,
  });

  it('has the form that GitHub reads', () => {
    expect(forms.workflow(block)).toEqual([]);
    expect(forms.workflow(block.replace('runs-on', 'run-on'))).not.toEqual([]);
  });

  it('asks the action only for what it has', () => {
    for (const job of [jobs.part, jobs.all])
      for (const name of Object.keys(ours(job))) expect(Object.keys(action.inputs)).toContain(name);
    for (const [, name] of block.matchAll(/steps\.rigs\.outputs\.([a-z-]+)/g))
      expect(Object.keys(action.outputs)).toContain(name);
  });

  it('checks every rig once and fails by the joined report', () => {
    const cwd = workspace();
    const parts = jobs.part.strategy?.matrix.part ?? [];
    const places = { action: folder, cwd };
    const told = parts.map((part) => {
      const inputs = Object.entries(ours(jobs.part)).map(([name, value]) => [
        name,
        value.replaceAll(/\$\{\{ matrix\.part \}\}/g, String(part)),
      ]);
      return runStep(1, Object.fromEntries(inputs), places).status;
    });
    expect(told.sort()).toEqual([0, 0, 0, 1]);
    expectShares(cwd, parts.length);
    const { status, outputs, summary } = runStep(1, ours(jobs.all), places);
    expect([status, outputs.verdict]).toEqual([1, 'unsound']);
    expectJoined(cwd, outputs.sarif ?? '');
    expect(summary).toContain('puppets/act-2/rolled.glb');
  });
});

// Source of the keys: docs.gitlab.com, CI/CD YAML syntax reference.
describe('GitLab CI', () => {
  const JOB = ['stage', 'parallel', 'script', 'allow_failure', 'cache', 'artifacts'];
  interface GitlabJob {
    readonly stage: string;
    readonly parallel?: number;
    readonly script: readonly string[];
    readonly allow_failure?: { readonly exit_codes: readonly number[] };
    readonly artifacts: { readonly paths: readonly string[]; readonly reports?: { junit: string } };
  }
  // Its form is asserted by the first test.
  const pipeline = parse(blockAfter(text, '## GitLab CI\n')) as {
    readonly stages: readonly string[];
    readonly part: GitlabJob;
    readonly all: GitlabJob;
  };
  const { part, all } = pipeline;

  it('has the keys that GitLab documents', () => {
    expect(Object.keys(pipeline)).toEqual(['default', 'stages', 'part', 'all']);
    expect([part.stage, all.stage]).toEqual(pipeline.stages);
    for (const job of [part, all]) for (const key of Object.keys(job)) expect(JOB).toContain(key);
  });

  it('checks every rig once and fails by the joined report', () => {
    const cwd = workspace();
    const count = part.parallel ?? 1;
    for (let index = 1; index <= count; index++) {
      const env = { CI_NODE_INDEX: String(index), CI_NODE_TOTAL: String(count) };
      const { status } = run(BASH, part.script.join('\n'), cwd, env);
      expect([0, ...(part.allow_failure?.exit_codes ?? [])]).toContain(status);
    }
    expectShares(cwd, count);
    expect(run(BASH, all.script.join('\n'), cwd).status).toBe(1);
    expectJoined(cwd, ...all.artifacts.paths, all.artifacts.reports?.junit ?? '');
  });
});
