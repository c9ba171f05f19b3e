import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { PassThrough, Readable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { families, rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { main } from '../../src/cli/main.js';
import type { Report } from '../../src/report/report-types.js';
import { ONE_FILE_FORMATS } from '../support/one-file-formats.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const sound = buildGlb('heron');
const unsound = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const warned = buildGlb('marionette', { faults: [faultNamed('stored-in-a-wave')] });
const cut = sound.slice(0, 1000);

describe('exit codes', () => {
  it('is 0 when every rig is sound', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    expect((await runCli(['check', 'heron.glb'], { cwd })).code).toBe(0);
  });

  it('is 1 when a rig is unsound', async () => {
    const cwd = tempFolder({ 'a.glb': sound, 'b.glb': unsound });
    expect((await runCli(['check', '.'], { cwd })).code).toBe(1);
  });

  it('is 3 when an asset cannot be read, also beside an unsound one, and the others are checked', async () => {
    const cwd = tempFolder({ 'a.glb': cut, 'b.glb': unsound });
    const { code, stdout } = await runCli(['check', '.'], { cwd });
    expect(code).toBe(3);
    expect(stdout).toContain('a.glb: unreadable');
    expect(stdout).toContain('ERROR axis.up');
  });

  it.each([
    [['check']],
    [['check', 'heron.glb', '--format', 'pdf']],
    [['check', 'heron.glb', '--only', 'axes']],
    [['check', 'heron.glb', '--standard', 'missing.json']],
    [['chekc', 'heron.glb']],
    [['check', 'heron.glb', '--strict']],
  ])('is 2 for a command that is wrong: %j', async (args) => {
    const cwd = tempFolder({ 'heron.glb': sound });
    const { code, stderr, stdout } = await runCli(args, { cwd });
    expect(code).toBe(2);
    expect(stdout).toBe('');
    expect(stderr).toMatch(/^trysquare: .+/);
    expect(stderr).not.toMatch(/\n\s+at /);
  });

  it('follows --failing: a warning fails at warning, an error passes at never', async () => {
    const cwd = tempFolder({ 'warned.glb': warned, 'unsound.glb': unsound });
    expect((await runCli(['check', 'warned.glb'], { cwd })).code).toBe(0);
    expect((await runCli(['check', 'warned.glb', '--failing', 'warning'], { cwd })).code).toBe(1);
    expect((await runCli(['check', 'unsound.glb', '--failing', 'never'], { cwd })).code).toBe(0);
  });
});

describe('paths', () => {
  it('searches folders to the bottom, in path order, each file once', async () => {
    const cwd = tempFolder({ 'z/b.glb': sound, 'a/deep/c.GLB': sound, 'a/notes.txt': 'no' });
    const { stdout } = await runCli(['check', '.', 'z', 'z/b.glb', '--format', 'json'], { cwd });
    expect(assetPaths(stdout)).toEqual(['a/deep/c.GLB', 'z/b.glb']);
  });

  it('expands patterns', async () => {
    const cwd = tempFolder({ 'x/heron.glb': sound, 'x/mule.glb': sound, 'y/heron.glb': sound });
    const { stdout } = await runCli(['check', '*/heron.glb', '--format', 'json'], { cwd });
    expect(assetPaths(stdout)).toEqual(['x/heron.glb', 'y/heron.glb']);
  });

  it('reads standard input at -', async () => {
    const cwd = tempFolder();
    const { code, stdout } = await runCli(['check', '-'], { cwd, stdin: unsound });
    expect(code).toBe(1);
    expect(stdout).toContain('"shin_L" is rolled 180°');
  });

  it.each([
    ['missing.glb', 'there is no such file'],
    ['empty-folder', 'the folder has no .glb, .gltf or .vrm file'],
    ['*.vrm', 'no file matches this pattern'],
  ])('tells of %s in one line and goes on', async (path, reason) => {
    const cwd = tempFolder({ 'heron.glb': sound });
    mkdirSync(join(cwd, 'empty-folder'));
    const { code, stdout } = await runCli(['check', path, 'heron.glb'], { cwd });
    expect(code).toBe(3);
    expect(stdout).toContain(`${path}: unreadable\n  ${reason}`);
    expect(stdout).toContain('1 sound, 0 unsound, 1 unreadable');
  });

  it('does not go round in circles of symbolic links, and tells of them', async () => {
    const cwd = tempFolder({ 'cast/heron.glb': sound });
    symlinkSync(join(cwd, 'cast'), join(cwd, 'cast', 'again'));
    const { code, stdout } = await runCli(['check', 'cast', '--format', 'json'], { cwd });
    expect([code, assetPaths(stdout)]).toEqual([3, ['cast/again', 'cast/heron.glb']]);
    expect(stdout).toContain('it is a link back to a folder that contains it');
  });

  it.runIf(process.getuid?.() !== 0)('tells of a file it may not read', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    chmodSync(join(cwd, 'heron.glb'), 0);
    const { code, stdout } = await runCli(['check', 'heron.glb'], { cwd });
    expect(code).toBe(3);
    expect(stdout).toContain('there is no permission to read it');
  });
});

describe('output', () => {
  it('goes to standard output, and messages about the run to standard error', async () => {
    const cwd = tempFolder({ 'a.glb': cut, 'b.glb': sound });
    const { stdout, stderr } = await runCli(['check', '.', '--format', 'json'], { cwd });
    expect(() => JSON.parse(stdout)).not.toThrow();
    expect(stderr).toMatch(/^trysquare: a\.glb cannot be read: .+\n$/);
  });

  it('goes whole into the file of --out, and nothing is left beside it', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    const { stdout, stderr } = await runCli(
      ['check', 'heron.glb', '--format', 'sarif', '--out', 'r.sarif'],
      { cwd },
    );
    expect(stdout).toBe('');
    expect(stderr).toBe('trysquare: 1 sound; the report is in r.sarif\n');
    expect(JSON.parse(readFileSync(join(cwd, 'r.sarif'), 'utf8'))).toHaveProperty(
      'version',
      '2.1.0',
    );
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'r.sarif']);
  });

  it('never overwrites a file unasked', async () => {
    const cwd = tempFolder({ 'heron.glb': sound, 'report.txt': 'mine' });
    const refused = await runCli(['check', 'heron.glb', '--out', 'report.txt'], { cwd });
    expect(refused.code).toBe(2);
    expect(refused.stderr).toContain('add --replace');
    expect(readFileSync(join(cwd, 'report.txt'), 'utf8')).toBe('mine');
    expect(
      (await runCli(['check', 'heron.glb', '--out', 'report.txt', '--replace'], { cwd })).code,
    ).toBe(0);
    expect(readFileSync(join(cwd, 'report.txt'), 'utf8')).toContain('Verdict: sound');
  });

  it('refuses to write over an asset it checks, --replace or not', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    const { code } = await runCli(['check', 'heron.glb', '--out', 'heron.glb', '--replace'], {
      cwd,
    });
    expect(code).toBe(2);
    expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(sound))).toBe(true);
  });

  it('says why a report cannot be written, and leaves nothing half-written', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    const { code, stderr } = await runCli(['check', 'heron.glb', '--out', 'no/folder/r.txt'], {
      cwd,
    });
    expect(code).toBe(2);
    expect(stderr).toContain('its folder does not exist');
    expect(existsSync(join(cwd, 'no'))).toBe(false);
  });

  it('is the same for the same files, byte for byte', async () => {
    const cwd = tempFolder({ 'b.glb': unsound, 'a.glb': warned, 'c.glb': cut });
    for (const format of ['text', 'json', 'sarif']) {
      const [first, second] = [
        await runCli(['check', '.', '--format', format], { cwd }),
        await runCli(['check', 'c.glb', 'b.glb', 'a.glb', '--format', format], { cwd }),
      ];
      expect(second.stdout).toBe(first.stdout);
    }
  });

  it('has colour only when asked or on a terminal that wants it, and never in a file', async () => {
    const cwd = tempFolder({ 'b.glb': unsound });
    const coloured = /\u001b\[/;
    expect((await runCli(['check', 'b.glb'], { cwd })).stdout).not.toMatch(coloured);
    expect((await runCli(['check', 'b.glb'], { cwd, colour: true })).stdout).toMatch(coloured);
    expect((await runCli(['check', 'b.glb', '--colour', 'always'], { cwd })).stdout).toMatch(
      coloured,
    );
    expect(
      (await runCli(['check', 'b.glb', '--colour', 'never'], { cwd, colour: true })).stdout,
    ).not.toMatch(coloured);
    await runCli(['check', 'b.glb', '--out', 'r.txt'], { cwd, colour: true });
    expect(readFileSync(join(cwd, 'r.txt'), 'utf8')).not.toMatch(coloured);
  });

  it('is quiet about sound assets when asked', async () => {
    const cwd = tempFolder({ 'a.glb': sound, 'b.glb': unsound });
    const { stdout } = await runCli(['check', '.', '--quiet'], { cwd });
    expect(stdout).not.toContain('a.glb');
    expect(stdout).toContain('ERROR axis.up');
    expect((await runCli(['check', 'a.glb', '--quiet'], { cwd })).stdout).toBe('');
  });
});

describe('options that need each other', () => {
  it.each([
    [['--sarif-for', 'standard'], '--sarif-for is for SARIF only'],
    [['--replace'], '--replace goes with --out'],
    [['--out', '.'], 'is a folder'],
    [['--out', 'r.sairf'], 'Did you mean ".sarif"?'],
    [['--out', 'r.json', '--out', 'report.v2'], 'or add --format'],
  ])('%j alone is told to be wrong', async (args, message) => {
    const cwd = tempFolder({ 'heron.glb': sound });
    const { code, stderr } = await runCli(['check', 'heron.glb', ...args], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining(message)]);
  });

  it('the ending of --out names the format when --format does not', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    await runCli(['check', 'heron.glb', '--out', 'r.sarif'], { cwd });
    expect(JSON.parse(readFileSync(join(cwd, 'r.sarif'), 'utf8'))).toHaveProperty('runs');
  });

  it('a name without an ending is a text, and --format says the form of any', async () => {
    const cwd = tempFolder({ 'heron.glb': sound });
    await runCli(['check', 'heron.glb', '--out', 'report'], { cwd });
    expect(readFileSync(join(cwd, 'report'), 'utf8')).toContain('Verdict: sound');
    await runCli(['check', 'heron.glb', '--out', 'r.v2', '--format', 'json'], { cwd });
    expect(JSON.parse(readFileSync(join(cwd, 'r.v2'), 'utf8'))).toHaveProperty('assets');
  });

  it('nothing to check is told with what to name', async () => {
    const { stderr } = await runCli(['check'], { cwd: tempFolder() });
    expect(stderr).toContain('name a file, a folder or a pattern in quotes');
  });
});

describe('rules and families', () => {
  it('are told when only some were run', async () => {
    const cwd = tempFolder({ 'b.glb': unsound });
    const { stdout } = await runCli(['check', 'b.glb', '--only', 'skin', '--failing', 'never'], {
      cwd,
    });
    expect(stdout).toContain('No finding makes a rig unsound.');
    expect(stdout).toContain('Only these families of rules ran: skin.');
  });

  it('that no standard asks for are not run alone, which would find nothing', async () => {
    const cwd = tempFolder({ 'a.glb': buildGlb('heron') });
    const line = ['check', 'a.glb', '--only', 'house.names,house.clips'];
    const { code, stderr } = await runCli(line, { cwd });
    expect(code).toBe(2);
    expect(stderr).toContain(
      'no standard asks for the rules that --only leaves (house.names, house.clips); write what you ask for under "contract" in a standard',
    );
    writeFileSync(join(cwd, 'trysquare.json'), '{ "contract": { "clips": { "most": 0 } } }');
    const { stdout } = await runCli(line, { cwd });
    expect(stdout).toContain('Only these rules ran: house.clips.');
  });

  it('runs only those named, or all but those named', async () => {
    const cwd = tempFolder({ 'b.glb': unsound });
    expect((await runCli(['check', 'b.glb', '--only', 'rest,scale'], { cwd })).code).toBe(0);
    expect((await runCli(['check', 'b.glb', '--skip', 'axis'], { cwd })).code).toBe(0);
    expect((await runCli(['check', 'b.glb', '--only', 'axis'], { cwd })).code).toBe(1);
    expect((await runCli(['check', 'b.glb', '--only', 'axis.up'], { cwd })).code).toBe(1);
    expect((await runCli(['check', 'b.glb', '--only', 'axis.aim,rest'], { cwd })).code).toBe(0);
    expect((await runCli(['check', 'b.glb', '--skip', 'axis.up'], { cwd })).code).toBe(0);
    const both = ['--only', 'axis', '--skip', 'axis.up'];
    expect((await runCli(['check', 'b.glb', ...both], { cwd })).code).toBe(0);
  });

  it('are told in every report when some of a family were left out', async () => {
    const cwd = tempFolder({ 'b.glb': unsound });
    const only = ['check', 'b.glb', '--only', 'axis.up,axis.aim'];
    expect((await runCli(only, { cwd })).stdout).toContain(
      'Only these rules ran: axis.aim, axis.up.',
    );
    const json = await runCli([...only, '--format', 'json'], { cwd });
    expect(JSON.parse(json.stdout)).toMatchObject({
      families: ['axis'],
      rules: ['axis.aim', 'axis.up'],
    });
    const whole = await runCli(['check', 'b.glb', '--only', 'axis', '--format', 'json'], { cwd });
    expect(JSON.parse(whole.stdout)).not.toHaveProperty('rules');
  });

  it('offers the nearest spelling of an unknown one', async () => {
    const { stderr } = await runCli(['check', 'b.glb', '--skip', 'scales'], { cwd: tempFolder() });
    expect(stderr).toContain('Did you mean "scale"?');
    const rule = await runCli(['check', 'b.glb', '--only', 'axis.upp'], { cwd: tempFolder() });
    expect(rule.stderr).toContain('Did you mean "axis.up"?');
  });
});

describe('the bend laboratory', () => {
  const creased = buildGlb('marionette', { faults: [faultNamed('creased-knee')] });
  interface Told {
    readonly families: readonly string[];
    readonly assets: readonly {
      readonly findings: readonly { readonly rule: string }[];
      readonly rigs: readonly {
        readonly bends: readonly { readonly volumeKept: number }[] | null;
      }[];
    }[];
  }
  const run = async (...more: string[]): Promise<Told> => {
    const cwd = tempFolder({ 'm.glb': creased });
    const { stdout } = await runCli(['check', 'm.glb', '--format', 'json', ...more], { cwd });
    return JSON.parse(stdout) as Told;
  };
  const rulesTold = (report: Told): string[] =>
    report.assets.flatMap((asset) => asset.findings.map((finding) => finding.rule));

  it('is left out unless it is asked for', async () => {
    const report = await run();
    expect(rulesTold(report)).not.toContain('motion.collapse');
    expect(report.families).not.toContain('motion');
    expect(report.assets[0]?.rigs[0]?.bends).toBeNull();
  });

  it.each([
    ['by --motion', ['--motion']],
    ['by naming its family', ['--only', 'motion']],
    ['by naming it', ['--only', 'motion.collapse']],
  ])('is run when asked for %s, worst joint first', async (_, flags) => {
    const report = await run(...flags);
    expect(rulesTold(report)).toContain('motion.collapse');
    const kept = report.assets[0]?.rigs[0]?.bends?.map((bend) => bend.volumeKept) ?? [];
    expect(kept.length).toBeGreaterThan(8);
    expect(kept[0]).toBeLessThan(0.65);
    expect(kept).toEqual([...kept].sort((a, b) => a - b));
  });

  it('is run for a standard that gives its rule a level', async () => {
    const cwd = tempFolder({ 'm.glb': creased });
    const standard = join(cwd, 'trysquare.json');
    writeFileSync(standard, '{ "levels": { "motion.collapse": "error" } }');
    expect((await runCli(['check', 'm.glb'], { cwd })).code).toBe(1);
    writeFileSync(standard, '{ "levels": { "motion.collapse": "none" } }');
    expect((await runCli(['check', 'm.glb', '--motion'], { cwd })).code).toBe(0);
  });

  it('lists the worst joints in the text report, and says how many more there are', async () => {
    const cwd = tempFolder({ 'm.glb': creased });
    const { stdout } = await runCli(['check', 'm.glb', '--motion'], { cwd });
    expect(stdout).toMatch(
      /worst first:\n {4}shin_L about [+-](up|side): \d+(\.\d)? % of the volume/,
    );
    expect(stdout).toMatch(/\(\d+ more joints change less\)/);
  });
});

it('--each-rule tells of every rule what it was measured on', async () => {
  const cwd = tempFolder({ 'heron.glb': sound });
  const { stdout } = await runCli(['check', 'heron.glb', '--each-rule'], { cwd });
  const flat = stdout.replace(/\s+/g, ' ');
  expect(flat).toContain('axis.aim: passed on 22 of 22 joints');
  expect(flat).toContain('rest.holder: passed on 1 of 1 node ');
  expect(flat).toContain('axis.world-up: not applicable, because no standard names an up axis');
});

describe('--without', () => {
  const checked = async (...args: string[]): Promise<string[]> => {
    const cwd = tempFolder({
      'puppets/heron.glb': sound,
      'puppets/old/heron.glb': 'cut off',
      'puppets/old/deep/Draft-mule.glb': sound,
      'puppets/draft-mule.glb': sound,
    });
    const { stdout } = await runCli(['check', ...args, '-f', 'json'], { cwd });
    return (JSON.parse(stdout) as Report).assets.map(({ path, unreadable }) =>
      unreadable === null ? path : `${path}: ${unreadable.reason}`,
    );
  };

  it.each([
    [
      ['--without', 'puppets/old'],
      ['puppets/draft-mule.glb', 'puppets/heron.glb'],
    ],
    [
      ['--without', './puppets/old/'],
      ['puppets/draft-mule.glb', 'puppets/heron.glb'],
    ],
    [['--without', '**/draft-*', '--without', '**/old/*.glb'], ['puppets/heron.glb']],
    [
      ['--without', 'puppets'],
      ['puppets: no asset is left: --without leaves out all that was found'],
    ],
    [['--without', 'heron.glb', '--without', '**/old'], ['puppets/draft-mule.glb']],
  ])('leaves out of a folder and of a pattern what fits: %j', async (args, paths) => {
    expect(await checked('puppets', ...args)).toEqual(paths);
    const all = paths.map((path) => path.replace(/^puppets:/, 'puppets/**/*.glb:'));
    expect(await checked('puppets/**/*.glb', ...args)).toEqual(all);
  });

  it('is joined by what a standard leaves out, from the folder that it lies in', async () => {
    const cwd = tempFolder({
      'trysquare.json': '{ "without": ["puppets/old/", "**/draft-*"] }',
      'puppets/heron.glb': sound,
      'puppets/mule.glb': sound,
      'puppets/old/heron.glb': sound,
      'puppets/draft-mule.glb': sound,
    });
    const paths = async (folder: string, ...args: string[]): Promise<string[]> => {
      const { stdout } = await runCli(['check', ...args, '-f', 'json'], { cwd: join(cwd, folder) });
      return (JSON.parse(stdout) as Report).assets.map(({ path, unreadable }) =>
        unreadable === null ? path : `${path}: ${unreadable.reason}`,
      );
    };
    expect(await paths('.', 'puppets')).toEqual(['puppets/heron.glb', 'puppets/mule.glb']);
    expect(await paths('puppets', '.')).toEqual(['heron.glb', 'mule.glb']);
    expect(await paths('puppets', '.', '--without', 'mule*')).toEqual(['heron.glb']);
    expect(await paths('puppets', '*.glb')).toEqual(['heron.glb', 'mule.glb']);
    expect(await paths('puppets', 'draft-mule.glb')).toEqual(['draft-mule.glb']);
    expect(await paths('puppets', 'old/*.glb')).toEqual([
      'old/*.glb: no asset is left: the standard ../trysquare.json leaves out all that was found',
    ]);
    expect(await paths('puppets', 'old', '--no-standard')).toEqual(['old/heron.glb']);
  });

  it('takes nothing off what is named itself', async () => {
    expect(await checked('puppets/draft-mule.glb', '--without', '**/draft-*')).toEqual([
      'puppets/draft-mule.glb',
    ]);
  });
});

it('a strange name below a file is one line', async () => {
  const cwd = tempFolder({ 'heron.glb': sound });
  const { code, stderr, stdout } = await runCli(['check', 'heron.glb/x\uFFFD.glb'], { cwd });
  expect([code, stderr]).toEqual([3, '']);
  expect(stdout).toContain('unreadable');
});

// Other systems keep no such names.
it.runIf(process.platform === 'linux')('a name that is not UTF-8 is told as such', async () => {
  const cwd = tempFolder({ 'heron.glb': sound, 'mule\uFFFD.glb': sound });
  writeFileSync(Buffer.from(`${cwd}/heron\xff.glb`, 'latin1'), sound);
  const { code, stdout } = await runCli(['check', '.', '-f', 'json'], { cwd });
  const told = (JSON.parse(stdout) as Report).assets.map(
    ({ path, unreadable }) => `${path}: ${unreadable?.reason ?? 'read'}`,
  );
  expect([code, told]).toEqual([
    3,
    [
      'heron.glb: read',
      'heron\uFFFD.glb: its name is not valid UTF-8; rename it',
      'mule\uFFFD.glb: read',
    ],
  ]);
});

it('--each-rule counts no pair as held whose fault another rule tells', async () => {
  const cwd = tempFolder({
    'heron.glb': buildGlb('heron', { faults: [faultNamed('rolled-shin')] }),
  });
  const { stdout } = await runCli(['check', 'heron.glb', '--each-rule'], { cwd });
  const flat = stdout.replace(/\s+/g, ' ');
  expect(flat).toMatch(/axis\.mirror: passed on (\d+) of \d+ pairs; 1 reported by another rule/);
  const [, held, of] = /axis\.mirror: passed on (\d+) of (\d+)/.exec(flat) ?? [];
  expect(Number(of) - Number(held)).toBe(1);
});

describe('the ledger', () => {
  const waiver = (asset: string, more = ''): string =>
    `{ "rule": "axis.up", "asset": "${asset}", "why": "a crank", "by": "props"${more} }`;

  it('lets findings stand, and tells in the totals how many', async () => {
    const cwd = tempFolder({ 'a/b.glb': unsound, 'a/c.glb': sound });
    writeFileSync(join(cwd, 'trysquare.waivers.json'), `{ "waivers": [${waiver('a/*.glb')}] }`);
    const { code, stdout } = await runCli(['check', 'a'], { cwd });
    expect(code).toBe(0);
    expect(stdout.replace(/\s+/g, ' ')).toContain('0 notes in all. 1 finding waived.');
    expect((await runCli(['check', 'a', '--no-ledger'], { cwd })).code).toBe(1);
  });

  const needing = (): string => {
    const cwd = tempFolder({ 'a/b.glb': sound, 'c/d.glb': unsound });
    const list = [
      waiver('a/b.glb'),
      waiver('a/gone.glb'),
      waiver('a/b.glb', ', "until": "2026-01-01"'),
      waiver('c/gone.glb'),
      waiver('c/d.glb'),
      waiver('c/d.glb', ', "until": "2026-01-01"'),
    ];
    writeFileSync(join(cwd, 'l.json'), `{ "waivers": [\n${list.join(',\n')}\n] }`);
    return cwd;
  };
  const onDay = { now: new Date('2026-11-25'), columns: 1000 };

  it.each<[string, string[], string]>([
    [
      'a',
      ['2', '3', '4'],
      'l.json: 1 waiver with a last day that is past, 2 waivers that match no finding any more. ',
    ],
    [
      'c',
      ['5', '6', '7'],
      'l.json: 1 waiver with a last day that is past, 1 waiver that matches no finding any more, 1 waiver that does not say what was accepted. ',
    ],
    [
      'a/b.glb',
      ['2', '4'],
      'l.json: 1 waiver with a last day that is past, 1 waiver that matches no finding any more. ',
    ],
  ])(
    'tells in one line of waivers that need a look, for %s alone, and lists them when asked',
    async (path, lines, summary) => {
      const cwd = needing();
      const args = ['check', path, '--ledger', 'l.json'];
      const { stderr, stdout } = await runCli([...args, '-f', 'json'], { cwd, ...onDay });
      expect(stderr.split('\n').filter((line) => line.includes('l.json'))).toEqual([
        expect.stringContaining(`trysquare: ${summary}`),
      ]);
      expect(stderr).toContain('--show-waivers lists them.');
      const { ledger } = JSON.parse(stdout);
      const told = [...ledger.expired, ...ledger.unmatched, ...ledger.open];
      expect(told.map(({ line }) => String(line)).sort()).toEqual(lines);
      const flat = async (more: string[]): Promise<string> =>
        (await runCli([...args, ...more], { cwd, ...onDay })).stdout.replace(/\s+/g, ' ');
      expect(await flat([])).toContain(summary);
      expect(await flat([])).not.toMatch(/l\.json line \d/);
      const each = await flat(['--show-waivers']);
      expect([...each.matchAll(/l\.json line (\d)/g)].map(([, line]) => line).sort()).toEqual(
        lines,
      );
    },
  );

  it('names a move before it would take out a waiver whose asset is gone', async () => {
    const cwd = needing();
    const args = ['-f', 'json', '--ledger', 'l.json'];
    const { stderr } = await runCli(['check', 'a', ...args], { cwd, ...onDay });
    expect(stderr).toContain(
      '1 waiver is for an asset that does not exist any more: if it was moved, use "trysquare waive --move OLD NEW"; if not, use "trysquare waive --prune --gone". "trysquare waive REPORT --prune" removes',
    );
    writeFileSync(join(cwd, 'l.json'), `{ "waivers": [${waiver('a/gone.glb')}] }`);
    const gone = (await runCli(['check', 'a', ...args], { cwd, ...onDay })).stderr;
    expect(gone).toContain('--move OLD NEW');
    expect(gone).not.toContain('REPORT --prune');
    const each = await runCli(['check', 'a', ...args.slice(2), '--show-waivers'], {
      cwd,
      ...onDay,
    });
    expect(each.stdout).toContain(
      'axis.up anywhere in a/gone.glb: its asset does not exist any more.',
    );
  });

  it('that is named and has no waiver for what is checked is told in one line', async () => {
    const cwd = tempFolder({ 'a/b.glb': sound, 'house/l.json': '', 'c/d.glb': sound });
    const list = [waiver('a/b.glb'), waiver('a/*.glb')].join(', ');
    writeFileSync(join(cwd, 'house/l.json'), `{ "waivers": [${list}] }`);
    writeFileSync(join(cwd, 'trysquare.waivers.json'), `{ "waivers": [${list}] }`);
    const told = async (...args: string[]): Promise<string> =>
      (await runCli(['check', ...args], { cwd, ...onDay })).stderr;
    expect(await told('a', '--ledger', 'house/l.json')).toBe(
      'trysquare: house/l.json: none of its 2 waivers is for an asset and a rule of this check; their paths are relative to the folder house\n',
    );
    expect(await told('a', '--ledger', 'trysquare.waivers.json')).toBe('');
    expect(await told('c')).toBe('');
  });

  it('tells why a finding fails that a waiver is about, and the waiver keeps holding for the rest', async () => {
    const cwd = tempFolder({ 'b.glb': unsound });
    const { stdout } = await runCli(['check', 'b.glb', '-f', 'json'], { cwd });
    const report = JSON.parse(stdout);
    const bad = report.assets[0].findings.filter(
      ({ level }: { level: string }) => level === 'error',
    );
    for (const finding of bad) {
      finding.measured /= 2;
      for (const place of finding.places) place.measured /= 2;
    }
    writeFileSync(join(cwd, 'milder.json'), JSON.stringify(report));
    await runCli(['waive', 'milder.json', '--all', '--why', 'a crank', '--by', 'props'], { cwd });
    const words = /The waiver at line 13 accepts up to [\d.]+°, and it is [\d.]+° now\./;
    for (const format of ONE_FILE_FORMATS) {
      const { code, stdout: told } = await runCli(['check', 'b.glb', '-f', format], { cwd });
      expect(code).toBe(1);
      if (format !== 'csv') expect(told.replace(/\s+/g, ' ').replaceAll('`', '')).toMatch(words);
    }
  });
});

describe('the progress line', () => {
  it('fits the terminal, and is cleared before the report is written', async () => {
    const long = `${'a-very-long-folder-name/'.repeat(5)}heron.glb`;
    const cwd = tempFolder({ [long]: sound, 'b.glb': sound });
    const [stdout, stderr] = [new PassThrough(), new PassThrough()];
    const written: string[] = [];
    for (const stream of [stdout, stderr]) stream.on('data', (part) => written.push(String(part)));
    await main(['node', 'trysquare', 'check', '.'], {
      stdin: Readable.from([]),
      stdout,
      stderr,
      cwd,
      columns: 80,
      progress: true,
      progressColumns: 60,
      colour: false,
      worker: null,
      pageScript: null,
      clock: () => new Date(),
      onStop: () => () => undefined,
    });
    const all = written.join('');
    const lines = all.match(/\r\u001b\[K(Checked [^\r]*)/g) ?? [];
    expect(lines.length).toBe(2);
    for (const line of lines) expect(line.length - 4).toBeLessThan(60);
    expect(all).toContain('Checked 1 of 2: ...');
    expect(all).not.toMatch(/heron\.glb(?!\r|\n)/);
  });
});

describe('the standard', () => {
  it('is the nearest trysquare.json upward from where the command runs', async () => {
    const cwd = tempFolder({ 'house/shop/heron.glb': sound });
    writeFileSync(join(cwd, 'house/trysquare.json'), '{ "conventions": { "aim": "+X" } }');
    const inside = { cwd: join(cwd, 'house/shop') };
    const held = await runCli(['check', 'heron.glb', '--format', 'json'], inside);
    expect(held.code).toBe(1);
    expect(JSON.parse(held.stdout)).toMatchObject({ standard: '../trysquare.json' });
    expect((await runCli(['check', 'heron.glb', '--no-standard'], inside)).code).toBe(0);
  });
});

function assetPaths(json: string): string[] {
  const report = JSON.parse(json) as { assets: { path: string }[] };
  return report.assets.map((asset) => asset.path);
}

it('any family of rules runs alone, whatever limits of others its rules ask for', async () => {
  const cwd = tempFolder({
    'heron.glb': buildGlb('heron', { faults: [faultNamed('stretched-beak-tip')] }),
    // A family that no standard asks for does not run alone.
    'trysquare.json': '{ "contract": { "clips": { "most": 1 } } }',
  });
  // A family that nothing asks for is refused: see the tests of comparing and of contracts.
  const { wanted } = defaultSettings(rules);
  const asked = families.filter((family) =>
    rules.some((rule) => rule.family === family && !rule.onApproved && rule.isAsked(wanted)),
  );
  for (const family of asked) {
    for (const option of ['--only', '--skip']) {
      const { code, stdout } = await runCli(['check', 'heron.glb', option, family], { cwd });
      expect(code, `${option} ${family}`).toBeLessThan(2);
      expect(stdout).not.toContain('fault of trysquare');
    }
  }
});
