import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import {
  type AssetRuleSpec,
  assetRule,
  checkAsset,
  checkAssets,
  judged,
  type LimitSpecs,
  makeReport,
  mendRig,
  openLedger,
  type Rule,
  type RuleSpec,
  rule,
  rules,
  searchAssets,
  size,
  standardSettings,
  UsageError,
} from '../../src/index.js';
import { tempFolder } from '../support/temp-folder.js';

const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
const FILES = { 'cast/mule.glb': buildGlb('mule'), 'cast/heron.glb': faulty, 'cast/old/a.txt': '' };

const WORDS = {
  title: 'a rig of any size',
  why: 'It is there.',
  formula: 'The size of the rig.',
  remedy: 'Leave it.',
  source: 'common practice',
};

const tall = rule({
  id: 'prop.tall',
  level: 'note',
  ...WORDS,
  limits: { size: { default: 1, unit: 'times', tells: 'size of the rig' } },
  check: (facts, { size: limit }) =>
    judged('rigs', 1, [
      {
        level: 'note',
        place: { kind: 'rig' },
        measured: size(facts),
        limit,
        unit: 'times',
        details: null,
      },
    ]),
  say: ({ limit }, words) => ({
    message: `It is tall (limit ${words.number(limit ?? 0)}).`,
    remedy: 'Leave it.',
  }),
});

const broken: Rule = assetRule({
  id: 'prop.broken',
  level: 'error',
  ...WORDS,
  limits: {},
  check: () => {
    throw new Error('no crate');
  },
  say: () => ({ message: '', remedy: '' }),
});

describe('rules that a program makes', () => {
  it('are judged with all others, with the limits of a standard that names them', async () => {
    const limits = '{ "limits": { "prop.tall": { "size": 0.5 } } }';
    const cwd = tempFolder({ ...FILES, 'trysquare.json': limits });
    const path = join(cwd, 'cast/mule.glb');
    const settings = standardSettings(join(cwd, 'trysquare.json'), [tall]);
    const { findings, failed } = await checkAsset(path, { settings });
    expect(findings).toMatchObject([{ rule: 'prop.tall', message: 'It is tall (limit 0.5).' }]);
    expect(failed).toBeUndefined();
    expect(makeReport([], settings).families.at(-1)).toBe('prop');
    expect(() => standardSettings(join(cwd, 'trysquare.json'))).toThrow(UsageError);
    expect(settings.known).toEqual([...rules, tall]);
  });

  it('fail alone when they throw', async () => {
    const path = join(tempFolder(FILES), 'cast/mule.glb');
    const settings = standardSettings(undefined, [broken, tall]);
    const { findings, failed } = await checkAsset(path, { settings });
    expect(failed).toEqual([{ rule: 'prop.broken', rig: null, module: null, reason: 'no crate' }]);
    expect(findings.map((finding) => finding.rule)).toEqual(['prop.tall']);
  });

  it('lack nothing: what JavaScript lets through is refused as the rule is made', () => {
    const spec = { id: 'prop.half', level: 'note', ...WORDS, limits: {} } as const;
    // As a program without types would call it.
    const make = (from: object) => () => [
      rule(from as RuleSpec<LimitSpecs, unknown>),
      assetRule(from as AssetRuleSpec<LimitSpecs, unknown>),
    ];
    expect(make({ ...spec, say: () => WORDS })).toThrow('the rule prop.half has no "check"');
    expect(make({ ...spec, check: () => 1 })).toThrow('the rule prop.half has no "say"');
    expect(make({ check: () => 1, say: () => 1 })).toThrow('a rule has no "id"');
  });
});

it('a list is searched and checked in the order of a report', async () => {
  const cwd = tempFolder(FILES);
  expect(await searchAssets(['cast'], { cwd })).toEqual(['cast/heron.glb', 'cast/mule.glb']);
  expect(await searchAssets(['cast'], { cwd, without: ['cast/heron.glb'] })).toEqual([
    'cast/mule.glb',
  ]);
  const verdicts: string[][] = [];
  for await (const { path, verdict } of checkAssets(['cast', 'gone.glb'], { cwd }))
    verdicts.push([path, verdict]);
  expect(verdicts).toEqual([
    ['cast/heron.glb', 'unsound'],
    ['cast/mule.glb', 'sound'],
    ['gone.glb', 'unreadable'],
  ]);
});

it('a ledger waives on its days what a check found, and not after', async () => {
  const waiver = {
    rule: 'axis.up',
    asset: 'cast/*.glb',
    why: 'a crank',
    by: 'props',
    until: '2031-05-01',
  };
  const ledger = JSON.stringify({ waivers: [waiver] });
  const cwd = tempFolder({ ...FILES, 'trysquare.waivers.json': ledger });
  const settings = standardSettings();
  const verdictOn = async (day: string): Promise<string> => {
    const options = { base: cwd, now: new Date(day) };
    const run = openLedger(join(cwd, 'trysquare.waivers.json'), settings, options);
    const report = await checkAsset(join(cwd, 'cast/heron.glb'), { name: 'cast/heron.glb' });
    return run.asset(report).verdict;
  };
  expect(await verdictOn('2031-05-01')).toBe('sound');
  expect(await verdictOn('2031-05-02')).toBe('unsound');
});

it('a rig is mended in memory, and the file stays as it was', async () => {
  const cwd = tempFolder(FILES);
  const path = join(cwd, 'cast/heron.glb');
  const { before, after, offending } = await mendRig(path);
  expect([before.verdict, after.verdict, offending]).toEqual(['unsound', 'sound', null]);
  expect((await checkAsset(path)).verdict).toBe('unsound');
  expect(existsSync(`${path}.before-mend`)).toBe(false);
});
