import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { WaiveFlags } from '../../src/cli/waive/waive-flags.js';
import { writeJson } from '../../src/report/json.js';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { LEDGER_NAME } from '../../src/waivers/ledger.js';
import { readLedger } from '../../src/waivers/read-ledger.js';
import { glbAsset, sampleFinding } from '../report/sample-report.js';
import { applyLedger } from '../support/apply-ledger.js';
import { runWaiveIn, TODAY } from '../support/run-waive.js';
import { tempFolder } from '../support/temp-folder.js';

const rolled = (path: string, measured: number): FindingReport =>
  sampleFinding({ place: { name: path, path }, measured });

const jsonOf = (assets: readonly AssetReport[]): string =>
  writeJson(makeReport(assets, defaultSettings(rules)));

const theatre = (ledger: string, assets: readonly AssetReport[] = []): string =>
  tempFolder({
    'rigs.json': jsonOf(assets),
    'heron.glb': '',
    'mule.glb': '',
    [LEDGER_NAME]: ledger,
  });

const textOf = (cwd: string): string => readFileSync(join(cwd, LEDGER_NAME), 'utf8');

const waive = (
  cwd: string,
  flags: Partial<WaiveFlags>,
  report: 'rigs.json' | 'no report' = 'rigs.json',
) =>
  runWaiveIn(cwd, report === 'no report' ? undefined : report, {
    why: undefined,
    by: undefined,
    ...flags,
  });

/** What a check of the assets comes to by the ledger of a folder. */
const fails = (cwd: string, assets: readonly AssetReport[]): string[] =>
  applyLedger(assets, readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules), {
    today: TODAY,
    base: cwd,
    failing: 'note',
    ran: rules.map(({ id }) => id),
  }).assets.flatMap(({ path, findings }) =>
    findings
      .filter(({ waived }) => waived === undefined)
      .map(({ place }) => `${path} ${place.path}`),
  );

const OLD = '"rule": "axis.up", "why": "a crank", "by": "props"';
const accepted = (path: string, measured: number): string =>
  `"level": "error", "measured": ${measured}, "unit": "degrees", "places": { "${path}": null }`;

/** A waiver past its day, one outgrown, one that holds, and one that says nothing; with comments. */
const LEDGER = `// The theatre's ledger.
{
  "waivers": [
    // Left by the old workshop.
    { "asset": "heron.glb", ${OLD}, ${accepted('body', 40)}, "until": "2030-01-01" }, // past
    { "asset": "heron.glb", ${OLD}, ${accepted('neck', 40)} }, // outgrown
    { "asset": "heron.glb", ${OLD}, ${accepted('beak', 40)} }, /* holds */
    { "asset": "mule.glb", ${OLD}, "joint": "tail" } // says nothing
    // the end
  ]
}
`;
const NOW = [
  glbAsset('heron.glb', [rolled('body', 41), rolled('neck', 90), rolled('beak', 40)]),
  glbAsset('mule.glb', [rolled('tail', 70)]),
];
const comments = (text: string): string[] => text.match(/\/\/.*|\/\*.*?\*\//g) ?? [];

describe('waive --renew', () => {
  it('writes what is past, outgrown or says nothing anew, in its place, and leaves the rest as it is', async () => {
    const cwd = theatre(LEDGER, NOW);
    expect(fails(cwd, NOW)).toEqual(['heron.glb body', 'heron.glb neck']);
    const { code, stdout, stderr } = await waive(cwd, { renew: true, until: '2032-01-01' });
    expect(code).toBe(0);
    expect(stdout.split('\n')).toEqual([
      'line 5: axis.up at body of heron.glb (was line 5)',
      'line 6: axis.up at neck of heron.glb (was line 6)',
      'line 8: axis.up at tail of mule.glb (was line 8)',
      '',
    ]);
    expect(stderr).toBe(`trysquare: renewed 3 waivers in ${LEDGER_NAME}\n`);
    const [before, after] = [LEDGER.split('\n'), textOf(cwd).split('\n')];
    expect(comments(textOf(cwd))).toEqual(comments(LEDGER));
    expect(after).toHaveLength(before.length);
    for (const line of [0, 1, 2, 3, 6, 8, 9, 10]) expect(after[line]).toBe(before[line]);
    expect(after[5]).toBe(
      `    { "rule": "axis.up", "asset": "heron.glb", ${accepted('neck', 90)}, "why": "a crank", "by": "props", "until": "2032-01-01" }, // outgrown`,
    );
    expect(fails(cwd, NOW)).toEqual([]);
    expect(fails(cwd, [glbAsset('heron.glb', [rolled('neck', 100)])])).toEqual(['heron.glb neck']);
  });

  it('keeps the day of what still holds, takes new words, and is narrowed by the options', async () => {
    const cwd = theatre(LEDGER.replace('"until": "2030-01-01"', '"until": "2031-12-31"'), NOW);
    await waive(cwd, { renew: true, joint: 'neck', why: 'the neck is a crank now' });
    expect(textOf(cwd)).toContain('"why": "the neck is a crank now", "by": "props" }');
    expect(textOf(cwd)).toContain('"until": "2031-12-31" }, // past');
    expect(textOf(cwd)).toContain('"joint": "tail"');
  });

  it.each([
    ['2032-01-01', '2032-01-01'],
    ['never', null],
  ])('with a day, renews what ends before it too: until %s', async (until, last) => {
    const ends = (day: string): string => `, "until": "${day}" }`;
    const soon = `{ "waivers": [
    { "asset": "heron.glb", ${OLD}, ${accepted('body', 41)}${ends('2031-05-31')},
    { "asset": "heron.glb", ${OLD}, ${accepted('neck', 90)} },
    { "asset": "m*.glb", ${OLD}, "level": "error", "measured": 70, "unit": "degrees"${ends('2031-05-31')},
    { "asset": "mule.glb", ${OLD}, ${accepted('mane', 70)}${ends('2031-05-31')}
  ] }`;
    const cwd = theatre(soon, NOW);
    expect((await waive(cwd, { renew: true })).stderr).toContain('is already covered by it\n');
    expect(textOf(cwd)).toBe(soon);
    await waive(cwd, { renew: true, until });
    const { waivers } = readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules);
    expect(waivers.map((waiver) => waiver.until)).toEqual([last, null, last, '2031-05-31']);
    const again = await waive(cwd, { renew: true, until });
    expect(again.stderr).toContain('is already covered by it, for at least as long\n');
  });

  it('asks for a day rather than giving what is past no end', async () => {
    const cwd = theatre(LEDGER, NOW);
    const run = waive(cwd, { renew: true });
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(
      '1 waiver to be renewed has a last day that is past (line 5); give a new day with --until YYYY-MM-DD, or --until never',
    );
    expect(textOf(cwd)).toBe(LEDGER);
    await waive(cwd, { renew: true, until: 'never' });
    expect(textOf(cwd)).not.toContain('until');
  });

  it('has a pattern hold the worst of what it fits now and of what it accepted', async () => {
    const pattern = `{ "waivers": [ { "asset": "*.glb", ${OLD}, "level": "warning", "measured": 60, "unit": "degrees" } ] }`;
    const cwd = theatre(pattern, [glbAsset('heron.glb', [rolled('neck', 40)])]);
    await waive(cwd, { renew: true });
    expect(textOf(cwd)).toContain('"level": "error", "measured": 60, "unit": "degrees", "why"');
    expect(fails(cwd, NOW)).toEqual(['heron.glb neck', 'mule.glb tail']);
  });

  it('makes one waiver for each finding of one that covered several', async () => {
    const wide = `{ "waivers": [\n  { "asset": "heron.glb", ${OLD} } // wide\n] }`;
    const cwd = theatre(wide, NOW);
    await waive(cwd, { renew: true });
    expect(readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules).waivers).toHaveLength(3);
    expect(textOf(cwd)).toMatch(
      /"body": null.*\n.*"neck": null.*\n.*"beak": null.* \/\/ wide\n\] \}$/,
    );
  });

  it('says so when there is nothing to renew', async () => {
    const cwd = theatre(LEDGER, [glbAsset('heron.glb', [rolled('beak', 40), rolled('new', 40)])]);
    const { stdout, stderr } = await waive(cwd, { renew: true });
    expect([stdout, stderr]).toEqual([
      '',
      `trysquare: nothing to change in ${LEDGER_NAME}: every finding of the report that has a waiver is already covered by it\n`,
    ]);
  });
});

describe('waive --carry-over', () => {
  it('has old waivers say what they accepted, keeps their words, and tells of those it cannot', async () => {
    const old = `{
  // from the first season
  "waivers": [
    { "asset": "heron.glb", ${OLD}, "joint": "neck", "until": "2030-01-01" },
    { "asset": "heron.glb", ${OLD} },
    { "asset": "*.glb", ${OLD}, "joint": "tail" },
    { "asset": "beetle.glb", ${OLD} },
    { "asset": "mule.glb", ${OLD}, "joint": "mane" }
  ]
}
`;
    const cwd = theatre(old, NOW);
    const { stderr } = await waive(cwd, { carryOver: true });
    const { waivers } = readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules);
    expect(
      waivers.map(({ asset, joint, accepted: its, until }) => [
        asset,
        joint,
        its === undefined ? null : its.places === null ? its.measured : [...its.places.keys()],
        until,
      ]),
    ).toEqual([
      ['heron.glb', null, ['body'], null],
      ['heron.glb', null, ['neck'], null],
      ['heron.glb', null, ['beak'], null],
      ['*.glb', 'tail', 70, null],
      ['beetle.glb', null, null, null],
      ['mule.glb', 'mane', null, null],
    ]);
    expect(textOf(cwd)).toContain('// from the first season');
    expect(stderr).toContain(
      'matches no finding of the report and was not changed; --prune removes it: axis.up at mane of mule.glb',
    );
    expect(stderr).toContain(
      'is for an asset that is not in the report, and was not changed: axis.up anywhere in beetle.glb',
    );
    const text = textOf(cwd);
    expect((await waive(cwd, { carryOver: true })).stderr).toContain('nothing to change');
    expect(textOf(cwd)).toBe(text);
  });
});

describe('waive --prune', () => {
  const wild = `    { "asset": "m*.glb", ${OLD}, "joint": "mane" },\n`;
  const ledger = LEDGER.replace('    { "asset": "heron', `${wild}    { "asset": "heron`);

  it('takes out what is past its day, with no report', async () => {
    const cwd = theatre(LEDGER, NOW);
    const { stdout } = await waive(cwd, { prune: true }, 'no report');
    expect(stdout).toBe('line 5 removed: axis.up at body of heron.glb\n');
    expect(comments(textOf(cwd))).toEqual(comments(LEDGER));
    expect(readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules).waivers).toHaveLength(3);
  });

  const away = `    { "asset": "gone.glb", ${OLD} },\n    { "asset": "store/gone.glb", ${OLD} },\n`;
  const hint =
    'trysquare: if the asset was moved or renamed, "trysquare waive --move OLD NEW" corrects the waivers; if not, "trysquare waive --prune --gone" removes them\n';

  it('tells of what is for an asset that is gone, with the report of a neighbour or with none', async () => {
    const more = `{ "waivers": [\n${away}    { "asset": "heron.glb", ${OLD} } ] }`;
    const cwd = theatre(more, [NOW[0] ?? glbAsset('heron.glb')]);
    for (const report of ['rigs.json', 'no report'] as const) {
      const { stdout, stderr } = await waive(cwd, { prune: true }, report);
      expect(stdout).toBe('');
      const told = 'is for an asset that does not exist any more, and was not changed';
      expect(stderr.split('\n').slice(1)).toEqual([
        `trysquare: line 2 ${told}: axis.up anywhere in gone.glb`,
        `trysquare: line 3 ${told}: axis.up anywhere in store/gone.glb`,
        hint.trim(),
        '',
      ]);
    }
    expect(textOf(cwd)).toBe(more);
  });

  it('takes that out where it is asked for, and says first what it would do', async () => {
    const cwd = theatre(LEDGER.replace('    { "asset": "mule.glb"', `${away}$&`));
    const would = await waive(cwd, { prune: true, gone: true, dryRun: true }, 'no report');
    expect(would.stderr).toBe(
      `trysquare: this would remove 3 waivers from ${LEDGER_NAME}; nothing was written\n`,
    );
    const { stdout, stderr } = await waive(cwd, { prune: true, gone: true }, 'no report');
    expect(stdout.split('\n')).toEqual([
      'line 5 removed: axis.up at body of heron.glb',
      'line 8 removed: axis.up anywhere in gone.glb',
      'line 9 removed: axis.up anywhere in store/gone.glb',
      '',
    ]);
    expect(stderr).toBe(`trysquare: removed 3 waivers from ${LEDGER_NAME}\n`);
  });

  it('takes out by a report what fits nothing, but nothing of other assets', async () => {
    const more = ledger.replace('    { "asset": "mule.glb"', `${away}$&`);
    const cwd = theatre(more, [glbAsset('heron.glb', [rolled('neck', 40)]), glbAsset('mule.glb')]);
    const { stdout, stderr } = await waive(cwd, { prune: true });
    expect(stdout.split('\n')).toEqual([
      'line 6 removed: axis.up at body of heron.glb',
      'line 8 removed: axis.up at beak of heron.glb',
      'line 11 removed: axis.up at tail of mule.glb',
      '',
    ]);
    expect(stderr).toContain(
      'its pattern may match other assets; it was not changed: axis.up at mane of m*.glb',
    );
    expect(comments(textOf(cwd))).toEqual(comments(LEDGER));
  });

  it('leaves what a rule is about that did not run', async () => {
    const other = `{ "waivers": [ { "rule": "motion.collapse", "asset": "heron.glb", "why": "w", "by": "b" } ] }`;
    const cwd = theatre(other, NOW);
    expect((await waive(cwd, { prune: true })).stderr).toContain('nothing to change');
    expect(textOf(cwd)).toBe(other);
  });
});

describe('waive --move', () => {
  it('has waivers follow an asset, and a folder with all below it, and tells of patterns it cannot judge', async () => {
    const cwd = theatre(`{
  "waivers": [
    { "asset": "heron.glb", ${OLD}, ${accepted('neck', 40)} }, // the heron
    { "asset": "store/**/m*.glb", ${OLD} },
    { "asset": "h*.glb", ${OLD} },
    { "asset": "storeroom/mule.glb", ${OLD} }
  ]
}
`);
    await waive(cwd, { move: ['store', 'barn/[old]'] }, 'no report');
    const { stdout, stderr } = await waive(
      cwd,
      { move: ['./heron.glb', 'birds/a{1}.glb'] },
      'no report',
    );
    expect(stdout).toBe('line 3: axis.up at neck of birds/a\\{1\\}.glb (was line 3)\n');
    expect(stderr).toContain(
      'line 5 has a pattern that matches ./heron.glb but not birds/a{1}.glb; correct it by hand: axis.up anywhere in h*.glb',
    );
    const { waivers } = readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules);
    expect(waivers.map(({ asset }) => asset)).toEqual([
      'birds/a\\{1\\}.glb',
      'barn/\\[old\\]/**/m*.glb',
      'h*.glb',
      'storeroom/mule.glb',
    ]);
    expect(fails(cwd, [glbAsset('birds/a{1}.glb', [rolled('neck', 40)])])).toEqual([]);
    expect(textOf(cwd)).toContain('// the heron');
  });

  it('says so when no waiver is for it', async () => {
    const { stderr } = await waive(theatre(LEDGER), { move: ['beetle.glb', 'b.glb'] }, 'no report');
    expect(stderr).toContain('no waiver is for beetle.glb, or for what is below it');
  });
});

describe('waiving again', () => {
  it('gives the place of a waiver that is past or outgrown to the new one', async () => {
    const cwd = theatre(LEDGER, NOW);
    const { stdout } = await waive(cwd, { all: true, why: 'a hinge', by: 'props' });
    expect(stdout.split('\n').slice(0, 2)).toEqual([
      'line 5: axis.up at body of heron.glb (was line 5)',
      'line 6: axis.up at neck of heron.glb (was line 6)',
    ]);
    expect(readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules).waivers).toHaveLength(4);
  });

  it('leaves a waiver that also covers what is not waived again', async () => {
    const both = `{ "waivers": [\n  { "asset": "heron.glb", ${OLD}, "level": "error", "measured": 40, "unit": "degrees", "places": { "body": 40, "neck": 40 } }\n] }`;
    const cwd = theatre(both, NOW);
    await waive(cwd, { rule: 'axis.up', asset: 'heron.glb', joint: 'neck', why: 'w', by: 'b' });
    expect(fails(cwd, NOW)).toEqual(['heron.glb beak', 'mule.glb tail']);
    expect(readLedger(join(cwd, LEDGER_NAME), LEDGER_NAME, rules).waivers).toHaveLength(2);
  });
});

describe('--dry-run', () => {
  it.each<[string, Partial<WaiveFlags>, 'rigs.json' | 'no report']>([
    ['renew', { renew: true, until: 'never' }, 'rigs.json'],
    ['carry-over', { carryOver: true }, 'rigs.json'],
    ['prune', { prune: true }, 'rigs.json'],
    ['move', { move: ['heron.glb', 'crane.glb'] }, 'no report'],
    ['all', { all: true, why: 'w', by: 'b' }, 'rigs.json'],
  ])('of --%s says what it would do and changes nothing', async (_, flags, report) => {
    const cwd = theatre(LEDGER, NOW);
    const dry = await waive(cwd, { ...flags, dryRun: true }, report);
    expect(textOf(cwd)).toBe(LEDGER);
    expect(dry.stderr).toContain('nothing was written');
    const wet = await waive(cwd, flags, report);
    expect(wet.stdout).toBe(dry.stdout);
    expect(textOf(cwd)).not.toBe(LEDGER);
  });
});

it.each<[Partial<WaiveFlags>, string | undefined, string]>([
  [{ renew: true, prune: true }, 'rigs.json', '--renew and --prune cannot be used together'],
  [{ renew: true, all: true }, 'rigs.json', '--all cannot be used with --renew'],
  [{ renew: true, level: 'note' }, 'rigs.json', '--level cannot be used with --renew'],
  [{ prune: true, why: 'w' }, 'rigs.json', '--why cannot be used with --prune'],
  [{ renew: true, gone: true }, 'rigs.json', '--gone goes with --prune alone'],
  [{ gone: true, all: true }, 'rigs.json', '--gone goes with --prune alone'],
  [{ carryOver: true, rule: 'axis.up' }, 'rigs.json', '--rule cannot be used with --carry-over'],
  [{ move: ['a'] }, undefined, '--move takes two paths, as in --move OLD NEW, and got 1'],
  [{ move: ['a', 'b', 'c'] }, undefined, 'and got 3'],
  [{ move: ['a', 'b'] }, 'rigs.json', '--move needs no report'],
  [{ renew: true }, undefined, 'name the report'],
  [{ carryOver: true }, undefined, 'name the report'],
  [{ all: true, by: 'b' }, 'rigs.json', 'say why the findings are accepted'],
  [{ all: true, why: 'w' }, 'rigs.json', 'say who accepts the findings'],
  [{ renew: true, asset: 'beetle.glb' }, 'rigs.json', 'matches "beetle.glb"'],
  [{ renew: true, until: 'soon' }, 'rigs.json', 'write a date as YYYY-MM-DD, or write never'],
])('refuses %j', async (flags, report, message) => {
  const cwd = theatre(LEDGER, NOW);
  const run = runWaiveIn(cwd, report, { why: undefined, by: undefined, ...flags });
  await expect(run).rejects.toThrow(UsageError);
  await expect(run).rejects.toThrow(message);
  expect(textOf(cwd)).toBe(LEDGER);
});

it('keeps up no ledger that is not there', async () => {
  const cwd = tempFolder({ 'rigs.json': jsonOf(NOW) });
  await expect(waive(cwd, { prune: true })).rejects.toThrow(
    'there is no ledger in this folder or a folder above',
  );
  writeFileSync(join(cwd, LEDGER_NAME), LEDGER);
  expect((await waive(cwd, { prune: true })).code).toBe(0);
});
