import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { Report } from '../../src/report/report-types.js';
import { PROPS } from '../support/own-modules.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');
const FILES = { 'heron.glb': heron, 'house/props.mjs': PROPS };
const WITH = ['--with', './house/props.mjs'];

async function reportOf(cwd: string, ...args: string[]): Promise<Report> {
  const { stdout } = await runCli(['check', 'heron.glb', '--format', 'json', ...args], { cwd });
  // `writeJson` wrote it.
  return JSON.parse(stdout) as Report;
}

const propsIn = (report: Report) =>
  report.assets.flatMap(({ findings }) => findings.filter(({ rule }) => rule === 'prop.joints'));

describe('a rule of the house', () => {
  it('is judged with all others, after them, and only where its module is named', async () => {
    const cwd = tempFolder(FILES);
    const [without, both] = [await reportOf(cwd), await reportOf(cwd, ...WITH)];
    expect(both.families).toEqual([...without.families, 'prop']);
    expect(both.settings).not.toBe(without.settings);
    const [{ rigs = [], findings = [] } = {}] = both.assets;
    expect(rigs[0]?.measured.at(-1)).toMatchObject({ rule: 'prop.joints', looked: 1, short: 1 });
    expect(findings.filter(({ rule }) => rule !== 'prop.joints')).toEqual(
      without.assets[0]?.findings,
    );
    expect(propsIn(both)).toMatchObject([
      { level: 'warning', measured: 28, limit: 5, message: 'The prop has 28 joints (limit 5).' },
    ]);
    expect(propsIn(without)).toEqual([]);
  });

  it('has a digest by its content, wherever it lies, so that parts of two machines are joined', async () => {
    const settingsOf = async (place: string, text: string): Promise<string> => {
      const cwd = tempFolder({ 'heron.glb': heron, [place]: text });
      return (await reportOf(cwd, '--with', `./${place}`)).settings;
    };
    const one = await settingsOf('house/props.mjs', PROPS);
    expect(await settingsOf('props.mjs', PROPS)).toBe(one);
    expect(await settingsOf('props.mjs', `${PROPS}// changed`)).not.toBe(one);
  });

  it('has the level and the limits that a standard gives, which knows it once it is loaded', async () => {
    const standard =
      '{ "levels": { "prop": "error" }, "limits": { "prop.joints": { "joints": "7 joints" } } }';
    const cwd = tempFolder({ ...FILES, 'trysquare.json': standard });
    expect(propsIn(await reportOf(cwd, ...WITH))).toMatchObject([{ level: 'error', limit: 7 }]);
    const { code, stderr } = await runCli(['check', 'heron.glb'], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('"prop"')]);
  });

  it('is chosen and left out like any other', async () => {
    const cwd = tempFolder(FILES);
    const only = await reportOf(cwd, ...WITH, '--only', 'prop');
    expect(only.families).toEqual(['prop']);
    expect(propsIn(await reportOf(cwd, ...WITH, '--skip', 'prop.joints'))).toEqual([]);
  });

  it('is waived by a ledger that names it', async () => {
    const cwd = tempFolder(FILES);
    await runCli(['check', 'heron.glb', ...WITH, '--format', 'json', '--out', 'a.json'], { cwd });
    const why = ['--why', 'a long prop', '--by', 'prop room'];
    const line = ['waive', 'a.json', '--rule', 'prop.joints', '--asset', 'heron.glb', ...why];
    expect(await runCli(line, { cwd })).toMatchObject({
      code: 2,
      stderr: expect.stringMatching(/there is no rule or family "prop.joints".*--with FILE/),
    });
    expect((await runCli([...line, ...WITH], { cwd })).code).toBe(0);
    expect(propsIn(await reportOf(cwd, ...WITH))).toMatchObject([{ waived: { by: 'prop room' } }]);
  });

  it('is listed and explained', async () => {
    const cwd = tempFolder(FILES);
    const { stdout } = await runCli(['rules', ...WITH], { cwd });
    expect(stdout).toMatch(/^prop\.joints +warning +a prop of many joints$/m);
    const explained = await runCli(['rules', 'prop.joints', ...WITH], { cwd });
    expect(explained.stdout).toContain('joints: 5 joints (joints of a prop)');
  });

  it('is on the page of its asset', async () => {
    const cwd = tempFolder({ ...FILES, 'page.js': 'show();' });
    const page = ['check', 'heron.glb', ...WITH, '--out', 'heron.html'];
    await runCli(page, { cwd, pageScript: join(cwd, 'page.js') });
    const html = readFileSync(join(cwd, 'heron.html'), 'utf8');
    expect(html).toContain('The prop has 28 joints (limit 5).');
    expect(html).toContain('Nobody can carry it.');
  });

  it('is drawn, and a mend knows it', async () => {
    const cwd = tempFolder(FILES);
    const drawn = await runCli(['draw', 'heron.glb', ...WITH], { cwd });
    expect(drawn.stdout).toContain('The prop has 28 joints');
    const mended = await runCli(['mend', 'heron.glb', ...WITH, '--dry-run'], { cwd });
    expect(mended.stdout).toContain('prop.joints');
  });

  it('is in the reports that merge joins, in every format', async () => {
    const cwd = tempFolder({ ...FILES, 'mule.glb': buildGlb('mule') });
    for (const part of ['1/2', '2/2'])
      await runCli(
        ['check', '.', ...WITH, '--part', part, '--out', `part-${part.replace('/', '-')}.json`],
        { cwd },
      );
    const joined = await runCli(['merge', 'part-*.json', ...WITH, '--format', 'sarif'], { cwd });
    expect([joined.code, joined.stderr]).toEqual([0, '']);
    expect(joined.stdout).toContain('"id": "prop.joints"');
    const { code, stderr } = await runCli(['merge', 'part-*.json'], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('--with FILE')]);
  });

  it('is worth no points unless the standard gives it some', async () => {
    const files = { 'class/bench/heron.glb': heron, 'house/props.mjs': PROPS };
    const grade = async (cwd: string, ...args: string[]): Promise<CliRun> =>
      runCli(['grade', 'class', ...args, '--replace'], { cwd });
    const gradebook = (cwd: string): string =>
      readFileSync(join(cwd, 'grades/gradebook.csv'), 'utf8');
    const cwd = tempFolder(files);
    await grade(cwd);
    const without = gradebook(cwd).split('\r\n');
    await grade(cwd, ...WITH);
    const both = gradebook(cwd).split('\r\n');
    expect(both[0]).toBe(without[0]);
    expect(total(both)).toBe(total(without));
    const valued = tempFolder({ ...files, 'trysquare.json': '{ "points": { "prop": 10 } }' });
    await grade(valued, ...WITH);
    expect(gradebook(valued)).toContain('prop');
    // 10 x 1/2 for one warning.
    expect(total(gradebook(valued).split('\r\n'))).toBe('5');
  });
});

/** What the only submission of a gradebook has earned. */
function total([head = '', row = '']: readonly string[]): string | undefined {
  return row.split(',')[head.split(',').indexOf('"points"')];
}

it('a rig on standard input is judged by it, too', async () => {
  const { stdout } = await runCli(['check', '-', ...WITH], {
    cwd: tempFolder(FILES),
    stdin: heron,
  });
  expect(stdout).toContain('prop.joints');
});
