import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { action, runStep, type StepRun } from '../support/action-runner.js';
import { built } from '../support/built.js';
import { npmWithoutRegistry, sourceCopy } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

// Each runs whole processes, several of them.
vi.setConfig({ testTimeout: 60_000 });

const [BUILD, CHECK] = [0, 1];
const heron = buildGlb('heron');
const statue = buildGlb('stag-beetle', { faults: [faultNamed('statue')] });
const rolled = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

// What a tag holds: the action builds itself in it.
const folder = sourceCopy();
const npm = npmWithoutRegistry(folder, built);
let ran: StepRun;
beforeAll(() => {
  ran = runStep(BUILD, {}, { action: folder, cwd: folder, path: npm });
}, 120_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function check(inputs: Readonly<Record<string, string>>, cwd: string): StepRun {
  return runStep(CHECK, inputs, { action: folder, cwd });
}

const asked = (): string[] => readFileSync(join(folder, 'asked.txt'), 'utf8').trim().split('\n');

describe('the build step', () => {
  it('builds from source, and not again in the same job', () => {
    expect([ran.status, ran.errors]).toEqual([0, '']);
    expect(existsSync(join(folder, 'dist/cli.cjs'))).toBe(true);
    expect(asked()).toEqual(['ci --ignore-scripts', 'run build']);
    const before = asked().length;
    expect(runStep(BUILD, {}, { action: folder, cwd: folder, path: npm }).status).toBe(0);
    expect(asked()).toHaveLength(before);
  });
});

describe('the check step', () => {
  it('tells each verdict, in its outputs and its exit code', () => {
    const cwd = tempFolder({
      'a.glb': heron,
      'b.glb': rolled,
      'c.glb': heron.slice(0, 99),
      'd.glb': statue,
    });
    const told = ['a.glb', 'b.glb', 'c.glb', 'd.glb', 'a.glb\nd.glb'].map((paths) => {
      const { status, outputs } = check({ paths }, cwd);
      return [status, outputs.verdict, outputs['exit-code']];
    });
    expect(told).toEqual([
      [0, 'sound', '0'],
      [1, 'unsound', '1'],
      [3, 'unreadable', '3'],
      [0, 'nothing to judge', '0'],
      [0, 'sound', '0'],
    ]);
  });

  it('shows in the log what is out of true, and checks the whole folder unless told otherwise', () => {
    const { status, log } = check({}, tempFolder({ 'a.glb': heron, 'deep/b.glb': rolled }));
    expect(status).toBe(1);
    expect(log).toContain('ERROR axis.up: "shin_L"');
    expect(log).not.toContain('a.glb');
  });

  it('takes several paths with spaces, one a line, and runs in the folder asked for', () => {
    const cwd = tempFolder({
      'the puppets/first act/heron one.glb': heron,
      'the puppets/second act/heron two.glb': heron,
      'the puppets/left out.glb': rolled,
    });
    const { status, outputs } = check(
      {
        'working-directory': 'the puppets',
        paths: 'first act\r\n\n  \nsecond act/heron two.glb\n',
        reports: 'told in.json\n',
      },
      cwd,
    );
    expect([status, outputs.reports]).toEqual([0, 'told in.json']);
    const report = readJson(join(cwd, 'the puppets/told in.json')) as {
      assets: { path: string }[];
    };
    expect(report.assets.map((asset) => asset.path)).toEqual([
      'first act/heron one.glb',
      'second act/heron two.glb',
    ]);
  });

  it('hands on standard, failing level and further arguments', () => {
    const cwd = tempFolder({
      'b.glb': rolled,
      'a house/standard.json': '{ "conventions": { "aim": "+Z" } }',
    });
    expect(check({ paths: 'b.glb', failing: 'never' }, cwd).status).toBe(0);
    expect(check({ paths: 'b.glb', arguments: '--only\nname\n' }, cwd).status).toBe(0);
    const { status, log } = check({ paths: 'b.glb', standard: 'a house/standard.json' }, cwd);
    expect(status).toBe(1);
    expect(log).toMatch(/but\s+the\s+standard\s+asks\s+for\s+\+Z/);
  });

  it('writes SARIF that code scanning takes, and Markdown that the summary page shows', () => {
    const cwd = tempFolder({ 'b.glb': rolled, 'rigs.md': 'of the run before' });
    const { outputs, summary } = check({ sarif: 'out of true.sarif', markdown: 'rigs.md' }, cwd);
    expect([outputs.sarif, outputs.markdown]).toEqual(['out of true.sarif', 'rigs.md']);
    const sarif = readFileSync(join(cwd, 'out of true.sarif'), 'utf8');
    expect(sarif).toMatch(/"startLine": ?\d/);
    expect(summary).toBe(readFileSync(join(cwd, 'rigs.md'), 'utf8'));
    expect(summary).toContain('axis.up');
  });

  it('keeps results in the cache folder', () => {
    const cwd = tempFolder({ 'a.glb': heron });
    expect(check({ cache: 'kept here' }, cwd).status).toBe(0);
    expect(readdirSync(join(cwd, 'kept here'))).not.toEqual([]);
  });

  it('checks parts, and joins what they wrote into what one run tells', () => {
    const cwd = tempFolder({
      'rigs/a.glb': heron,
      'rigs/b.glb': rolled,
      'rigs/c.glb': heron,
      'a part/kept.txt': '',
    });
    for (const part of ['1', '2'])
      check({ paths: 'rigs', part: `${part}/2`, reports: `a part/part-${part}.json` }, cwd);
    const { status, outputs, log } = check({ merge: 'a part/part-*.json', reports: 'm.json' }, cwd);
    expect([status, outputs.verdict, outputs.reports]).toEqual([1, 'unsound', 'm.json']);
    expect(log).toContain('ERROR axis.up: "shin_L"');
    check({ paths: 'rigs', reports: 'whole.json' }, cwd);
    const assets = (name: string): unknown =>
      (readJson(join(cwd, name)) as { assets: unknown }).assets;
    expect(assets('m.json')).toEqual(assets('whole.json'));
  });

  it('says in one line what is wrong with an input, and names no verdict', () => {
    const cwd = tempFolder({ 'a.glb': heron });
    for (const inputs of [
      { sarif: 'one.sarif\ntwo.sarif' },
      { failing: 'sometimes' },
      { paths: ' ' },
    ]) {
      const { status, outputs, errors } = check(inputs, cwd);
      expect([status, outputs.verdict ?? '', outputs['exit-code']]).toEqual([2, '', '2']);
      expect(errors.trim()).toMatch(/^trysquare: .+$/);
    }
  });
});

describe('hostile inputs and names', () => {
  const hostile = [
    '$(touch taken)',
    '`touch taken`',
    '; touch taken',
    '"; touch taken; "',
    "'; touch taken; '",
    '&& touch taken',
    '--out=taken',
    '-',
    'verdict=sound',
    '$(touch$IFS./taken)',
  ];

  it('no script of the action holds an expression, which would be filled in before it runs', () => {
    for (const { run } of action.runs.steps) expect(run).not.toContain('${{');
  });

  // A script that takes a value for code does so whatever the command then says to it, so all inputs
  // can hold it at once; those that `merge` sets aside are tried without it. Asked for as arguments,
  // --out=taken would be no attack, and the runner itself enters the working directory.
  const names = Object.keys(action.inputs).filter(
    (name) => !['working-directory', 'arguments', 'merge'].includes(name),
  );

  it.each(hostile)('takes %j for what it is, in all inputs that take one line', (value) => {
    const cwd = tempFolder({ 'a.glb': heron });
    const everywhere = Object.fromEntries(names.map((name) => [name, value]));
    expect([2, 3]).toContain(check(everywhere, cwd).status);
    expect(existsSync(join(cwd, 'taken'))).toBe(false);
  });

  it.each([
    { paths: hostile.join('\n') },
    { arguments: ['--', ...hostile].join('\n') },
    { merge: hostile.join('\n') },
  ])('takes them all for what they are as the lines of one input, %#', (inputs) => {
    const cwd = tempFolder({ 'a.glb': heron });
    const { status, outputs } = check(inputs, cwd);
    expect([2, 3]).toContain(status);
    expect(outputs.verdict).not.toBe('sound');
    expect(existsSync(join(cwd, 'taken'))).toBe(false);
  });

  it('checks a file whose name is a command, an option or two lines', () => {
    const names = ['$(touch taken).glb', '; touch taken;.glb', '--quiet.glb', 'a\nb.glb'];
    const cwd = tempFolder(Object.fromEntries(names.map((name) => [name, rolled])));
    const { status, outputs } = check({ paths: names.slice(0, 3).join('\n') }, cwd);
    expect([status, outputs.verdict]).toEqual([1, 'unsound']);
    expect(check({}, cwd).outputs.verdict).toBe('unsound');
    expect(existsSync(join(cwd, 'taken'))).toBe(false);
  });

  // docs.github.com, Workflow commands, "Stopping and starting workflow commands": nothing between
  // `::stop-commands::TOKEN` and `::TOKEN::` is a command.
  it('lets no name from a rig speak to the runner', () => {
    const cwd = tempFolder({ '::error::taken.glb': rolled, '::set-env name=PATH::.glb': heron });
    const { log, status } = check({ failing: 'warning' }, cwd);
    expect(status).toBe(1);
    const token = /^::stop-commands::(\S{20,})$/m.exec(log)?.[1];
    expect(token).toBeDefined();
    const [before, , after] = log.split(new RegExp(`^::(?:stop-commands::)?${token}(?:::)?$`, 'm'));
    // Shown, but as text that no runner takes for an order, even where orders are stopped.
    expect(log).toContain('\n\\u003a:error::taken.glb');
    for (const outside of [before, after]) expect(outside).not.toMatch(/::/);
  });
});

function readJson(path: string): unknown {
  return JSON.parse(readFileSync(path, 'utf8'));
}
