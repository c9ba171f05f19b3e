import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'yaml';
import { repository } from './source-copy.js';

interface Step {
  readonly name: string;
  readonly shell: string;
  readonly run: string;
  readonly env?: Readonly<Record<string, string>>;
  readonly 'working-directory'?: string;
}

/** What the tests read of action.yml; its form is checked elsewhere, by its makers' own parser. */
export interface Action {
  readonly inputs: Readonly<Record<string, { readonly default: string }>>;
  readonly outputs: Readonly<Record<string, { readonly value: string }>>;
  readonly runs: { readonly steps: readonly Step[] };
}

// That it has this form is asserted by the tests of its form.
export const action = parse(readFileSync(join(repository, 'action.yml'), 'utf8')) as Action;

export interface StepRun {
  readonly status: number | null;
  readonly log: string;
  readonly errors: string;
  readonly outputs: Readonly<Record<string, string>>;
  readonly summary: string;
}

/**
 * Runs one of the action's steps as a runner does. Source: docs.github.com, Workflow syntax,
 * `steps[*].shell` (bash runs as `bash --noprofile --norc -eo pipefail FILE`), and Variables
 * reference (GITHUB_ACTION_PATH, GITHUB_OUTPUT, GITHUB_STEP_SUMMARY, RUNNER_TEMP).
 */
export function runStep(
  at: number,
  inputs: Readonly<Record<string, string>>,
  places: { readonly action: string; readonly cwd: string; readonly path?: string },
): StepRun {
  const step = action.runs.steps[at];
  if (step?.shell !== 'bash') throw new Error(`the action has no bash step ${at}`);
  const temp = mkdtempSync(join(places.action, 'runner-'));
  const file = (name: string, content = ''): string => {
    writeFileSync(join(temp, name), content);
    return join(temp, name);
  };
  const output = file('output.txt');
  const summary = file('summary.txt');
  const env = Object.entries(step.env ?? {}).map(([name, value]) => [name, fill(value, inputs)]);
  const result = spawnSync(
    'bash',
    ['--noprofile', '--norc', '-eo', 'pipefail', file('step.sh', step.run)],
    {
      cwd: join(places.cwd, fill(step['working-directory'] ?? '.', inputs)),
      encoding: 'utf8',
      env: {
        ...process.env,
        PATH: `${places.path ?? ''}:${process.env.PATH ?? ''}`,
        GITHUB_ACTION_PATH: places.action,
        GITHUB_OUTPUT: output,
        GITHUB_STEP_SUMMARY: summary,
        RUNNER_TEMP: temp,
        ...Object.fromEntries(env),
      },
    },
  );
  return {
    status: result.status,
    log: result.stdout,
    errors: result.stderr,
    outputs: readOutputs(readFileSync(output, 'utf8')),
    summary: readFileSync(summary, 'utf8'),
  };
}

/** Puts inputs, or their defaults, where an expression asks for them; knows no other expression. */
function fill(value: string, inputs: Readonly<Record<string, string>>): string {
  return value.replace(/\$\{\{(.*?)\}\}/g, (_, inner: string) => {
    const name = /^ inputs\.([a-z-]+) $/.exec(inner)?.[1];
    const known = name === undefined ? undefined : (inputs[name] ?? action.inputs[name]?.default);
    if (known === undefined) throw new Error(`cannot fill in "${inner}"`);
    return known;
  });
}

/** Reads an environment file: `name=value`, or `name<<END`, lines, `END` (Workflow commands). */
function readOutputs(text: string): Record<string, string> {
  const outputs: Record<string, string> = {};
  const lines = text.split('\n');
  for (let at = 0; at < lines.length; at++) {
    const line = lines[at] ?? '';
    const many = /^([a-z-]+)<<(.+)$/.exec(line);
    const one = /^([a-z-]+)=(.*)$/.exec(line);
    if (many?.[1] !== undefined) {
      const end = lines.indexOf(many[2] ?? '', at + 1);
      if (end < 0) throw new Error(`the output ${many[1]} has no end`);
      outputs[many[1]] = lines.slice(at + 1, end).join('\n');
      at = end;
    } else if (one?.[1] !== undefined) outputs[one[1]] = one[2] ?? '';
    else if (line !== '') throw new Error(`not the form of an output: ${line}`);
  }
  return outputs;
}
