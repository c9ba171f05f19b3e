import {
  chmodSync,
  existsSync,
  lstatSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { writeJson } from '../../src/report/json.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { type Accepted, LEDGER_NAME, type WaiverText } from '../../src/waivers/ledger.js';
import { readLedger } from '../../src/waivers/read-ledger.js';
import {
  glbAsset,
  HOSTILE_NAMES,
  sampleFinding,
  unreadableAsset,
} from '../report/sample-report.js';
import { runWaiveIn, runWaiveLine, TODAY } from '../support/run-waive.js';
import { tempFolder } from '../support/temp-folder.js';

const reportOf = (assets: readonly AssetReport[]): Report =>
  makeReport(assets, defaultSettings(rules));
const beak = sampleFinding();
const neck = sampleFinding({
  rule: 'axis.aim',
  level: 'warning',
  place: { name: 'neck', path: 'body/neck', joint: 1 },
});
const sample = reportOf([
  glbAsset('heron.glb', [beak, neck]),
  glbAsset('puppets/mule.glb', [beak, sampleFinding({ place: { path: 'body' } })]),
  unreadableAsset('beetle.glb', 'the file is empty', null),
]);
const inTheatre = (report: Report = sample, files: Record<string, string> = {}): string =>
  tempFolder({ 'rigs.json': writeJson(report), ...files });
const entries = (cwd: string, name = LEDGER_NAME): WaiverText[] =>
  readLedger(join(cwd, name), name, rules).waivers.map(
    ({ pattern: _, line: __, ...waiver }) => waiver,
  );
/** What is accepted of the sample finding. */
const ROLLED: Accepted = {
  level: 'error',
  measured: 92.4,
  unit: 'degrees',
  places: new Map([['body/neck/beak', null]]),
};
const placesOf = (accepted: Accepted | undefined): string[] => [
  ...(accepted?.places?.keys() ?? []),
];
const GROUND = { why: 'a crank', by: 'prop room', until: null };
const up = { rule: 'axis.up', asset: 'heron.glb' };

describe('waive --rule --asset', () => {
  it('begins a ledger with the waiver, and tells what was added', async () => {
    const cwd = inTheatre(sample, { 'heron.glb': '' });
    const { code, stdout, stderr } = await runWaiveIn(cwd, 'rigs.json', {
      ...up,
      joint: 'body/neck/beak',
      until: TODAY,
    });
    expect(code).toBe(0);
    expect(stdout).toBe('line 13: axis.up at body/neck/beak of heron.glb\n');
    expect(stderr).toBe(`trysquare: added 1 waiver in ${LEDGER_NAME}\n`);
    expect(entries(cwd)).toEqual([
      { ...up, joint: null, accepted: ROLLED, ...GROUND, until: TODAY },
    ]);
    expect(readFileSync(join(cwd, LEDGER_NAME), 'utf8').split('\n')[12]).toBe(
      '    { "rule": "axis.up", "asset": "heron.glb", "level": "error", "measured": 92.4, "unit": "degrees", "places": { "body/neck/beak": null }, "why": "a crank", "by": "prop room", "until": "2031-05-01" }',
    );
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'rigs.json', LEDGER_NAME]);
  });

  it('without a joint covers what the report tells, and takes a pattern of assets for any place', async () => {
    const cwd = inTheatre();
    await runWaiveIn(cwd, 'rigs.json', up);
    await runWaiveIn(cwd, 'rigs.json', { rule: 'axis.up', asset: '**/m*.glb', joint: '*' });
    expect(entries(cwd)).toEqual([
      { ...up, joint: null, accepted: ROLLED, ...GROUND },
      {
        rule: 'axis.up',
        asset: '**/m*.glb',
        joint: '*',
        accepted: { ...ROLLED, places: null },
        ...GROUND,
      },
    ]);
  });

  it('takes a family for all of its rules, and writes a waiver for each', async () => {
    const cwd = inTheatre();
    await runWaiveIn(cwd, 'rigs.json', { rule: 'axis', asset: 'heron.glb' });
    expect(entries(cwd).map(({ rule }) => rule)).toEqual(['axis.up', 'axis.aim']);
    await expect(
      runWaiveIn(cwd, 'rigs.json', { rule: 'skin', asset: 'heron.glb' }),
    ).rejects.toThrow('skin has no finding in heron.glb');
  });

  it('adds to the ledger above, relative to its folder, and to the one named', async () => {
    const cwd = tempFolder({
      'act/rigs.json': writeJson(
        reportOf([glbAsset('a[1].glb', [beak]), glbAsset('mule.glb', [beak])]),
      ),
      [LEDGER_NAME]: '{ "waivers": [] }',
      'house/own.json': '{ "waivers": [] }',
    });
    const at = join(cwd, 'act');
    await runWaiveIn(at, 'rigs.json', { rule: 'axis.up', asset: './a[1].glb' });
    await runWaiveIn(at, 'rigs.json', { rule: 'axis.up', asset: 'm*.glb' });
    await runWaiveIn(at, 'rigs.json', {
      rule: 'axis.up',
      asset: 'm*.glb',
      ledger: '../house/own.json',
    });
    expect(entries(cwd).map(({ asset }) => asset)).toEqual(['act/a\\[1\\].glb', 'act/m*.glb']);
    expect(entries(join(cwd, 'house'), 'own.json').map(({ asset }) => asset)).toEqual([
      '../act/m*.glb',
    ]);
  });

  it('begins a ledger beside the standard that is in force', async () => {
    const cwd = tempFolder({ 'act/rigs.json': writeJson(sample), 'trysquare.json': '{}' });
    const { stderr } = await runWaiveIn(join(cwd, 'act'), 'rigs.json', up);
    expect(stderr).toContain(`added 1 waiver in ../${LEDGER_NAME}`);
    expect(entries(cwd).map(({ asset }) => asset)).toEqual(['act/heron.glb']);
  });

  it('has all that is waived last longer, where a later day is asked for', async () => {
    const cwd = inTheatre();
    const all = { all: true, level: 'note' } as const;
    await runWaiveIn(cwd, 'rigs.json', { ...all, until: '2031-06-01' });
    const count = entries(cwd).length;
    await runWaiveIn(cwd, 'rigs.json', all);
    expect(entries(cwd).map(({ until }) => until)).toEqual(Array(count).fill('2031-06-01'));
    await runWaiveIn(cwd, 'rigs.json', { ...all, until: '2032-06-01' });
    expect(entries(cwd).map(({ until }) => until)).toEqual(Array(count).fill('2032-06-01'));
  });

  it('adds nothing twice, but a waiver that lasts longer', async () => {
    const cwd = inTheatre();
    await runWaiveIn(cwd, 'rigs.json', { ...up, until: '2031-06-01' });
    const before = readFileSync(join(cwd, LEDGER_NAME), 'utf8');
    for (const until of ['2031-06-01', '2031-05-15']) {
      const { code, stdout, stderr } = await runWaiveIn(cwd, 'rigs.json', { ...up, until });
      expect([code, stdout]).toEqual([0, '']);
      expect(stderr).toContain(
        'nothing to add to trysquare.waivers.json: the 1 finding that you asked for is waived already, for at least as long',
      );
    }
    expect(readFileSync(join(cwd, LEDGER_NAME), 'utf8')).toBe(before);
    const { stdout } = await runWaiveIn(cwd, 'rigs.json', up);
    expect(entries(cwd).map(({ until }) => until)).toEqual([null]);
    expect(stdout).toBe('line 13: axis.up at body/neck/beak of heron.glb (was line 13)\n');
  });

  it('tells of assets that do not lie where it runs', async () => {
    const cwd = inTheatre(sample, { 'puppets/mule.glb': '' });
    const told = async (asset: string) =>
      (await runWaiveIn(cwd, 'rigs.json', { rule: 'axis.up', asset })).stderr;
    expect(await told('heron.glb')).toContain(
      'the waivers were written, but there is no heron.glb in this folder. If the check ran in another folder, remove them with "trysquare waive --prune --gone" and run waive in that folder',
    );
    const dry = await runWaiveIn(cwd, 'rigs.json', { all: true, dryRun: true });
    expect(dry.stderr).toContain(
      'there is no heron.glb in this folder, where the waivers would expect it',
    );
    expect(dry.stderr).not.toContain('the waivers were written');
    expect(await told('puppets/mule.glb')).not.toContain('there is no');
    expect(await told('**/*.glb')).toContain('there is no heron.glb in this folder');
  });

  it.each<[object, string]>([
    [{ rule: 'axis.up' }, 'name the asset, too, with --asset; or add --all'],
    [{ asset: 'heron.glb' }, 'name what to waive with --rule and --asset'],
    [{ ...up, level: 'error' }, 'add --all'],
    [
      { ...up, rule: 'axis.ip' },
      '--rule: there is no rule or family "axis.ip". Did you mean "axis.up"?',
    ],
    [
      { ...up, rule: 'rest.bind' },
      'rest.bind has no finding in heron.glb; these rules have some: axis.up, axis.aim',
    ],
    [
      { ...up, asset: 'hron.glb' },
      'matches "hron.glb". Did you mean "heron.glb"? The report has: heron.glb, puppets/mule.glb',
    ],
    [{ ...up, asset: 'beetle.glb' }, 'no asset in the report matches "beetle.glb"'],
    [{ ...up, asset: '-' }, 'standard input has no path'],
    [{ ...up, asset: '*e*r*o*n*' }, 'the pattern --asset *e*r*o*n* has 5 stars'],
    [
      { ...up, joint: 'body/neck/baek' },
      'at "body/neck/baek" in heron.glb. Did you mean "body/neck/beak"?',
    ],
    [{ ...up, joint: 'beak' }, 'It has some at: body/neck/beak'],
    [{ ...up, until: '2031-04-30' }, `is in the past (today is ${TODAY} in UTC)`],
    [{ ...up, until: '2032-02-30' }, 'is not a date; write a date as YYYY-MM-DD'],
    [{ ...up, until: 'soon' }, 'is not a date; write a date as YYYY-MM-DD'],
    [{ ...up, why: ' ' }, '--why is blank'],
    [{ ...up, by: '' }, '--by is blank'],
    [{ ...up, ledger: 'no/such.json' }, 'its folder does not exist'],
    [{ ...up, ledger: '.' }, 'the ledger . cannot be read: it is a folder'],
    [{ ...up, ledger: 'rigs.json' }, 'the ledger rigs.json is wrong at line'],
  ])('refuses %j and writes nothing', async (flags, message) => {
    const cwd = inTheatre();
    const run = runWaiveIn(cwd, 'rigs.json', flags);
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(message);
    expect(readdirSync(cwd)).toEqual(['rigs.json']);
  });

  it('refuses a ledger that is wrong and leaves it as it is', async () => {
    const cwd = inTheatre(sample, { [LEDGER_NAME]: '{ "waivers": [ {} ] }' });
    await expect(runWaiveIn(cwd, 'rigs.json', up)).rejects.toThrow('is wrong at line 1, column 16');
    expect(readFileSync(join(cwd, LEDGER_NAME), 'utf8')).toBe('{ "waivers": [ {} ] }');
  });

  it('keeps the permissions of the ledger, and a link to it a link', async () => {
    const cwd = inTheatre(sample, { 'store/own.json': '{ "waivers": [] }' });
    chmodSync(join(cwd, 'store/own.json'), 0o664);
    symlinkSync(join('store', 'own.json'), join(cwd, LEDGER_NAME));
    await runWaiveIn(cwd, 'rigs.json', up);
    expect(lstatSync(join(cwd, LEDGER_NAME)).isSymbolicLink()).toBe(true);
    expect(statSync(join(cwd, 'store/own.json')).mode & 0o777).toBe(0o664);
    expect(entries(cwd).map(({ asset }) => asset)).toEqual(['heron.glb']);
  });
});

describe('waive --all', () => {
  it('waives each finding that makes an asset unsound, by its own joint, in the order of the report', async () => {
    const cwd = inTheatre();
    const { stdout, stderr } = await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(stdout.split('\n')).toHaveLength(4);
    expect(stderr).toContain('added 3 waivers');
    expect(
      entries(cwd).map(({ rule, asset, accepted }) => [rule, asset, ...placesOf(accepted)]),
    ).toEqual([
      ['axis.up', 'heron.glb', 'body/neck/beak'],
      ['axis.up', 'puppets/mule.glb', 'body/neck/beak'],
      ['axis.up', 'puppets/mule.glb', 'body'],
    ]);
  });

  it('tells of assets that could not be read, and only where there are any', async () => {
    const { stderr } = await runWaiveIn(inTheatre(), 'rigs.json', { all: true });
    expect(stderr).toContain('1 asset of the report could not be read. This cannot be waived');
    const read = inTheatre(reportOf([glbAsset('heron.glb', [beak])]), { 'heron.glb': '' });
    expect((await runWaiveIn(read, 'rigs.json', { all: true })).stderr).toBe(
      `trysquare: added 1 waiver in ${LEDGER_NAME}\n`,
    );
  });

  it('goes down to the level named, and is narrowed by the other options', async () => {
    const cwd = inTheatre();
    await runWaiveIn(cwd, 'rigs.json', { all: true, level: 'warning', asset: 'heron.glb' });
    expect(entries(cwd).map(({ rule }) => rule)).toEqual(['axis.up', 'axis.aim']);
    await runWaiveIn(cwd, 'rigs.json', { all: true, rule: 'axis.up', joint: 'body' });
    expect(entries(cwd).map(({ asset }) => asset)).toEqual([
      'heron.glb',
      'heron.glb',
      'puppets/mule.glb',
    ]);
  });

  it('adds nothing that the ledger or the report has waived, and nothing twice', async () => {
    const covered =
      '{ "waivers": [{ "rule": "axis.up", "asset": "**", "joint": "body", "why": "w", "by": "b" }] }';
    const waived = { ...beak, waived: GROUND };
    const report = reportOf([
      glbAsset('heron.glb', [beak, beak, waived]),
      glbAsset('./heron.glb', [beak]),
      glbAsset('mule.glb', [waived, sampleFinding({ place: { path: 'body' } })]),
    ]);
    const cwd = inTheatre(report, { [LEDGER_NAME]: covered });
    await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(
      entries(cwd)
        .slice(1)
        .map(({ asset, accepted }) => [asset, ...placesOf(accepted)]),
    ).toEqual([
      ['heron.glb', 'body/neck/beak'],
      ['heron.glb', 'body/neck/beak (2)'],
    ]);
    const { code, stderr } = await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(code).toBe(0);
    expect(stderr).toContain('the 6 findings that you asked for are waived already');
  });

  it('with a day waives anew, in its place, what is waived for less long; without one it leaves it', async () => {
    const report = reportOf([glbAsset('heron.glb', [{ ...beak, waived: GROUND }])]);
    const cwd = inTheatre(report, { 'heron.glb': '' });
    await runWaiveIn(cwd, 'rigs.json', { ...up, until: '2031-06-01' });
    const untils = (): unknown[] => entries(cwd).map(({ until }) => until);
    const bare = await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(bare.stderr).toContain(
      'is waived already; to make them last longer, add --until DATE, or --until never\n',
    );
    expect(untils()).toEqual(['2031-06-01']);
    await runWaiveIn(cwd, 'rigs.json', { all: true, until: '2031-07-01' });
    expect(untils()).toEqual(['2031-07-01']);
    const { stderr } = await runWaiveIn(cwd, 'rigs.json', { all: true, until: '2031-06-15' });
    expect(stderr).toContain('is waived already, for at least as long\n');
    await runWaiveIn(cwd, 'rigs.json', { all: true, until: 'never' });
    expect(untils()).toEqual([null]);
    const endless = await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(endless.stderr).toContain('is waived already, for at least as long\n');
  });

  it('waives again what an expired waiver covered', async () => {
    const past =
      '{ "waivers": [{ "rule": "axis.up", "asset": "**", "why": "w", "by": "b", "until": "2031-04-30" }] }';
    const cwd = inTheatre(sample, { [LEDGER_NAME]: past });
    await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(entries(cwd)).toHaveLength(4);
  });

  it('waives findings about an asset as a whole, and at a joint called *', async () => {
    const asset = { kind: 'asset', name: 'asset', path: '', joint: null } as const;
    const report = reportOf([
      glbAsset('heron.glb', [
        sampleFinding({ rule: 'file.no-skin', place: asset }),
        sampleFinding({ place: { name: '*', path: '*' } }),
      ]),
    ]);
    const cwd = inTheatre(report);
    await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(entries(cwd).map(({ accepted }) => placesOf(accepted))).toEqual([['asset:'], ['*']]);
  });

  it.each<[string, Report, object, string]>([
    ['a sound report', reportOf([glbAsset('heron.glb')]), {}, 'the report has no finding to waive'],
    [
      'warnings alone',
      reportOf([glbAsset('heron.glb', [neck])]),
      {},
      'has no finding at error or above; it has 1 at level warning; choose another level with --level',
    ],
    ['a check that never fails', { ...sample, failing: 'never' }, {}, 'add --level error'],
    ['standard input', reportOf([glbAsset('-', [beak])]), {}, 'the report has no finding to waive'],
    [
      'a rule of another version',
      reportOf([glbAsset('heron.glb', [{ ...beak, rule: 'axis.new' }])]),
      {},
      'a finding of axis.new, a rule that this trysquare does not have',
    ],
  ])('refuses %s', async (_, report, flags, message) => {
    const cwd = inTheatre(report);
    await expect(runWaiveIn(cwd, 'rigs.json', { all: true, ...flags })).rejects.toThrow(message);
    expect(existsSync(join(cwd, LEDGER_NAME))).toBe(false);
  });

  it('writes names of any letters so that they read back, and shows no control of them', async () => {
    const findings = Object.values(HOSTILE_NAMES).map((name) =>
      sampleFinding({ place: { name, path: name } }),
    );
    const cwd = inTheatre(reportOf([glbAsset('he\u202eron\u0007.glb', findings)]));
    const { stdout } = await runWaiveIn(cwd, 'rigs.json', { all: true });
    expect(stdout.replaceAll('\n', '')).not.toMatch(/[\p{Cc}\u202e\u2028]/u);
    expect(entries(cwd).flatMap(({ accepted }) => placesOf(accepted))).toEqual(
      Object.values(HOSTILE_NAMES),
    );
  });
});

describe('the report', () => {
  it('may come from standard input', async () => {
    const cwd = tempFolder();
    expect((await runWaiveIn(cwd, '-', up, writeJson(sample))).code).toBe(0);
    expect(entries(cwd)).toHaveLength(1);
  });

  it.each([
    ['', 'the report rigs.json is empty; write one with "trysquare check PATH --format json"'],
    ['rigs: none', 'is not JSON'],
    ['[1]', 'is not a report of trysquare'],
    ['null', 'is not a report of trysquare'],
    ['['.repeat(100_000), 'is not JSON'],
    ['{ "version": "2.1.0", "runs": [] }', 'is not a report of trysquare'],
    [
      writeJson(sample).replace('"formatVersion": 1', '"formatVersion": 2'),
      'has format version 2, but this trysquare reads version 1',
    ],
    [
      writeJson(sample).replace('"verdict": "unsound"', '"verdict": 3'),
      'prints: /assets/0/verdict must be equal to one of',
    ],
    [
      writeJson(sample).replace('"path": "heron.glb"', '"path": null'),
      'prints: /assets/0/path must be string',
    ],
  ])('that reads %.40s is refused', async (text, message) => {
    const cwd = tempFolder({ 'rigs.json': text });
    const run = runWaiveIn(cwd, 'rigs.json', { all: true });
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(message);
  });

  it('that is not there is a usage error', async () => {
    await expect(runWaiveIn(tempFolder(), 'no.json', up)).rejects.toThrow(
      'the report no.json cannot be read: there is no such file',
    );
  });
});

describe('the command line', () => {
  it('hands its options on', async () => {
    const cwd = inTheatre();
    const args = [
      'rigs.json',
      '--rule',
      'axis.up',
      '--asset',
      'heron.glb',
      '--joint',
      'body/neck/beak',
    ];
    const { code } = await runWaiveLine(cwd, [
      ...args,
      '--why',
      'a crank',
      '--by',
      'prop room',
      '--until',
      '9999-12-31',
    ]);
    expect(code).toBe(0);
    expect(entries(cwd)).toEqual([
      { ...up, joint: null, accepted: ROLLED, ...GROUND, until: '9999-12-31' },
    ]);
    writeFileSync(join(cwd, 'own.json'), '{ "waivers": [] }');
    await runWaiveLine(cwd, [
      'rigs.json',
      '--all',
      '--level',
      'note',
      '--why',
      'w',
      '--by',
      'b',
      '--ledger',
      'own.json',
    ]);
    expect(entries(cwd, 'own.json')).toHaveLength(4);
  });

  it.each([
    [['rigs.json', '--all', '--by', 'prop room']],
    [['rigs.json', '--all', '--why', 'a crank']],
    [['--all', '--why', 'a crank', '--by', 'prop room']],
    [['rigs.json', '--all', '--level', 'fatal', '--why', 'a crank', '--by', 'prop room']],
  ])('refuses %j', async (args) => {
    const cwd = inTheatre();
    await expect(runWaiveLine(cwd, args)).rejects.toThrow();
    expect(existsSync(join(cwd, LEDGER_NAME))).toBe(false);
  });
});
