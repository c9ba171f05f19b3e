import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Report } from '../../src/report/report-types.js';
import { ONE_FILE_FORMATS } from '../support/one-file-formats.js';
import { moduleWith } from '../support/own-modules.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const four = faultNamed('moved-stage-of-four');
const stage = buildGlb(four.puppet, { faults: [four] });
const THROWS = moduleWith("check() { throw new Error('no wheel here'); }");
const WITH = ['--with', './wheel.mjs'];

const folder = (module: string, more: Readonly<Record<string, Uint8Array | string>> = {}): string =>
  tempFolder({ 'heron.glb': heron, 'wheel.mjs': module, 'page.js': 'show();', ...more });

const check = (cwd: string, ...args: string[]): Promise<CliRun> =>
  runCli(['check', 'heron.glb', ...args], { cwd, pageScript: join(cwd, 'page.js') });

async function reportOf(cwd: string, ...args: string[]): Promise<Report> {
  const { stdout } = await check(cwd, '--format', 'json', ...args);
  // `writeJson` wrote it.
  return JSON.parse(stdout) as Report;
}

describe('a rule that throws', () => {
  it('is told as its own fault, and the rig is judged by all others as without it', async () => {
    const cwd = folder(THROWS);
    const [without, both] = [await reportOf(cwd), await reportOf(cwd, ...WITH)];
    const { failed, ...asset } = both.assets[0] ?? {};
    expect(failed).toEqual([
      { rule: 'prop.wheel', rig: 0, module: './wheel.mjs', reason: 'no wheel here' },
    ]);
    expect(asset).toEqual(without.assets[0]);
  });

  it('ends the run with 3 and one line on standard error, without a stack', async () => {
    const { code, stderr } = await check(folder(THROWS), ...WITH);
    expect([code, stderr]).toEqual([
      3,
      'trysquare: heron.glb: The rule prop.wheel of ./wheel.mjs failed: no wheel here. It judged nothing; all other rules did.\n',
    ]);
  });

  it.each(ONE_FILE_FORMATS)('is in a report of the form %s', async (form) => {
    const { code, stdout } = await check(folder(THROWS), ...WITH, '--format', form);
    expect(code).toBe(3);
    const words = stdout.replace(/\s+/g, ' ').replaceAll('\\', '');
    expect(words).toContain('prop.wheel');
    expect(words).toContain('no wheel here');
  });

  it('is told once for a list that is mended, and the assets are mended by all others', async () => {
    const cwd = folder(THROWS, { 'herd/heron.glb': heron, 'herd/other.glb': heron });
    const { code, stdout, stderr } = await runCli(
      ['mend', 'herd', '--out-dir', 'out', '--quiet', ...WITH],
      { cwd },
    );
    expect([code, stdout]).toEqual([3, '2 assets: 2 mended and written, 2 of them sound now.\n']);
    expect(stderr.split('\n')).toEqual([
      'trysquare: herd/heron.glb: The rule prop.wheel of ./wheel.mjs failed: no wheel here. It judged nothing; all other rules did.',
      'trysquare: the rule prop.wheel failed on 1 more asset',
      '',
    ]);
  });

  it('is told once for a list, with how many assets more', async () => {
    const cwd = folder(THROWS, { 'herd/mule.glb': buildGlb('mule'), 'herd/heron.glb': heron });
    const { code, stderr } = await runCli(['check', 'herd', ...WITH], { cwd });
    expect(code).toBe(3);
    expect(stderr).toMatch(/^[^\n]*herd\/heron.glb[^\n]*\n[^\n]*failed on 1 more asset\n$/);
  });

  it('fails on one rig of four alone, which is named', async () => {
    const one =
      "check: ({ rig }) => { if (rig.index === 1) throw new Error('odd'); return judged('rigs', 1, [finding]); }";
    const cwd = folder(moduleWith(one), { 'stage.glb': stage });
    const { stdout } = await runCli(['check', 'stage.glb', ...WITH, '--format', 'json'], { cwd });
    const [asset] = (JSON.parse(stdout) as Report).assets;
    expect(asset?.failed).toMatchObject([{ rig: 1, reason: 'odd' }]);
    const told = asset?.findings.filter(({ rule }) => rule === 'prop.wheel');
    expect(told?.map(({ rig }) => rig)).toEqual([0, 2, 3]);
    expect(
      asset?.rigs.map((rig) => rig.measured.some(({ rule }) => rule === 'prop.wheel')),
    ).toEqual([true, false, true, true]);
  });

  it('leaves its waivers alone: whether they match nothing is not known', async () => {
    const waiver = { rule: 'prop.wheel', asset: 'heron.glb', why: 'a cart', by: 'prop room' };
    const ledger = { 'trysquare.waivers.json': JSON.stringify({ waivers: [waiver] }) };
    const failing = folder(THROWS, ledger);
    expect((await reportOf(failing, ...WITH)).ledger).toMatchObject({ unmatched: [] });
    await check(failing, ...WITH, '--format', 'json', '--out', 'a.json');
    const pruned = await runCli(['waive', 'a.json', '--prune', ...WITH], { cwd: failing });
    expect(pruned.stderr).toContain('nothing to change');
    const silent = folder(moduleWith("check: () => judged('rigs', 1, [])"), ledger);
    expect((await reportOf(silent, ...WITH)).ledger).toMatchObject({ unmatched: [waiver] });
  });

  it.each(['rule', 'assetRule'])(
    'a %s that failed on one asset has no waiver of any pruned',
    async (make) => {
      const waiver = { rule: 'prop.wheel', asset: 'heron.glb', why: 'a cart', by: 'prop room' };
      const fails = moduleWith(
        "check(at) { if ((at.rig?.name ?? at.rigs[0].name) === 'body') throw new Error('odd'); return judged('rigs', 1, []); }",
      ).replace('default rule(', `default ${make}(`);
      const cwd = folder(fails, {
        'mule.glb': buildGlb('mule'),
        'trysquare.waivers.json': JSON.stringify({ waivers: [waiver] }),
      });
      const line = ['check', '.', ...WITH, '--format', 'json', '--out', 'a.json'];
      expect((await runCli(line, { cwd })).code).toBe(3);
      const { stderr } = await runCli(['waive', 'a.json', '--prune', ...WITH], { cwd });
      expect(stderr).toContain('nothing to change');
    },
  );

  it('ends with 3 as well where reports of parts are joined', async () => {
    const cwd = folder(THROWS);
    await check(cwd, ...WITH, '--part', '1/1', '--out', 'part.json');
    const { code, stdout } = await runCli(['merge', 'part.json', ...WITH], { cwd });
    expect([code, stdout]).toEqual([3, expect.stringContaining('no wheel here')]);
  });

  it('is on the page of its asset', async () => {
    const cwd = folder(THROWS);
    await check(cwd, ...WITH, '--out', 'heron.html');
    expect(readFileSync(join(cwd, 'heron.html'), 'utf8')).toContain(
      'The rule prop.wheel of ./wheel.mjs failed: no wheel here.',
    );
  });

  it('is not kept in a cache', async () => {
    const cwd = folder(THROWS);
    await check(cwd, ...WITH, '--cache', 'kept');
    expect(readdirSync(join(cwd, 'kept')).filter((name) => name.length === 2)).toEqual([]);
    const silent = folder(moduleWith(''));
    await check(silent, ...WITH, '--cache', 'kept');
    expect(readdirSync(join(silent, 'kept')).filter((name) => name.length === 2)).toHaveLength(1);
  });

  it('fails a class with 3, and costs nobody a point', async () => {
    const cwd = folder(THROWS, { 'class/bench/heron.glb': heron });
    const grade = (...args: string[]): Promise<CliRun> =>
      runCli(['grade', 'class', '--replace', ...args], { cwd });
    expect((await grade()).code).toBe(0);
    const gradebook = (): string => readFileSync(join(cwd, 'grades/gradebook.csv'), 'utf8');
    const before = gradebook();
    expect((await grade(...WITH)).code).toBe(3);
    expect(gradebook()).toBe(before);
  });

  it('is drawn without, and told', async () => {
    const { code, stderr, stdout } = await runCli(['draw', 'heron.glb', ...WITH], {
      cwd: folder(THROWS),
    });
    expect([code, stderr]).toEqual([3, expect.stringContaining('no wheel here')]);
    expect(stdout).toContain('</svg>');
  });
});

/** What a rule can do wrong besides, by the reason that is told. */
const WRONG: Readonly<Record<string, string>> = {
  'it throws an error without a message': "check() { throw new Error(''); }",
  'it throws something that cannot be read as text':
    'check() { throw { toString() { throw 1; } }; }',
  'just a word': "check() { throw 'just a word'; }",
  'its say gives a message of 10001 letters (limit 10000)':
    "say: () => ({ message: 'm'.repeat(10001), remedy: '' })",
  'its check gives 10001 findings (limit 10000)':
    'check: () => judged("rigs", 1, Array(10001).fill(finding))',
  'Maximum call stack size exceeded': 'check() { return this.check(); }, ',
  'its check must return judged(...) or notApplicable(...)': 'check: () => undefined',
  'its check gives a promise; a rule must answer at once':
    'check: async () => judged("rigs", 1, [])',
  'its say gives a promise': "async say() { throw new Error('lost'); }",
  'its gather gives a promise': "async gather() { throw new Error('lost'); }",
  'its check gives a promise': "async check() { throw new Error('lost'); }",
  'its check gives notApplicable(...) whose "because" is wrong': 'check: () => notApplicable(7)',
  'its check gives judged(...) whose "looked" is wrong': 'check: () => judged("rigs", NaN, [])',
  'its check gives a finding that is no object':
    'check: () => judged("rigs", 1, [], 0) && { kind: "judged", things: "rigs", looked: 1, short: 0, findings: [7] }',
  'its check gives a finding whose "level" is wrong; it must be error, warning, note':
    'check: () => judged("rigs", 1, [{ ...finding, level: "grave" }])',
  'its check gives a finding whose "measured" is wrong':
    'check: () => judged("rigs", 1, [{ ...finding, measured: "1" }])',
  'its check gives a finding whose "place" is wrong; it must be a place that the rig has':
    'check: () => judged("rigs", 1, [{ ...finding, place: { kind: "joint", joint: 28 } }])',
  'its check gives a finding whose "places" is wrong':
    'check: () => judged("rigs", 1, [{ ...finding, places: [{ kind: "part", part: 9 }] }])',
  'its check gives a finding whose "joints" is wrong':
    'check: () => judged("rigs", 1, [{ ...finding, joints: [-1] }])',
  'its check gives a finding whose "evidence" is wrong':
    'check: () => judged("rigs", 1, [{ ...finding, evidence: [{ kind: "point", label: "a", at: [1, 2] }] }])',
  'its gather gives a finding whose "unit" is wrong':
    'gather: (_, [one]) => [{ finding: { ...one, unit: 7 }, from: [one] }]',
  'no order': "gather() { throw new Error('no order'); }",
  'no words': "say() { throw new Error('no words'); }",
  'its say must give a message and a remedy, both text': 'say: () => ({ message: 7, remedy: "" })',
};

it.each(Object.entries(WRONG))('a rule fails with its own words: %s', async (reason, code) => {
  const cwd = folder(moduleWith(code));
  const [without, both] = [await reportOf(cwd), await reportOf(cwd, ...WITH)];
  const { failed = [], ...asset } = both.assets[0] ?? {};
  expect(failed).toHaveLength(1);
  expect(failed[0]?.reason).toContain(reason);
  expect(asset).toEqual(without.assets[0]);
});

it('a rule about assets fails for the asset as a whole', async () => {
  const text = moduleWith("check() { throw new Error('no file') }").replace(
    'export default rule(',
    'export default assetRule(',
  );
  const [asset] = (await reportOf(folder(text), ...WITH)).assets;
  expect(asset?.failed).toMatchObject([{ rule: 'prop.wheel', rig: null, reason: 'no file' }]);
});

describe('a rule with a slip that nothing else would tell', () => {
  const reasonOf = async (code: string) =>
    (await reportOf(folder(moduleWith(code)), ...WITH)).assets[0]?.failed?.[0]?.reason;

  it('fails where it reads a limit that it does not have', async () => {
    const limits = "limits: { deep: { default: 1, unit: 'joints', tells: 'b' } }";
    const reads = (what: string) =>
      `${limits}, check: (_, ${what}) => judged('rigs', 1, deep > 0 ? [finding] : [])`;
    expect(await reasonOf(reads('{ depp: deep }'))).toBe(
      'it reads the limit "depp", but it has only "deep"',
    );
    expect(await reasonOf("check: (_, { depp }) => judged('rigs', depp, [])")).toBe(
      'it reads the limit "depp", but it has no limits',
    );
    expect(await reasonOf(reads('{ deep }'))).toBeUndefined();
    const all = `${limits}, check: (_, all) => judged('rigs', JSON.parse(JSON.stringify({ ...all })).deep, [])`;
    expect(await reasonOf(all)).toBeUndefined();
  });

  it.each(['new Map()', 'new Set()', '() => 1', '1n', 'new Date()', 'Float64Array.of(1)'])(
    'fails where its details hold %s',
    async (what) => {
      const details = `check: () => judged('rigs', 1, [{ ...finding, details: { a: [${what}] } }])`;
      expect(await reasonOf(details)).toBe(
        'its check gives a finding whose "details" is wrong; it must be made of text, numbers, true, false, null, lists and objects alone, at most 20 deep',
      );
    },
  );

  it('passes with details that JSON can hold', async () => {
    const details = "{ a: [1, 'b', null, true], b: undefined, c: { d: [[0]] } }";
    expect(
      await reasonOf(`check: () => judged('rigs', 1, [{ ...finding, details: ${details} }])`),
    ).toBeUndefined();
  });
});
