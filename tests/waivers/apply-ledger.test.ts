import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { assetPattern } from '../../src/house/asset-pattern.js';
import type { Level } from '../../src/kit/finding.js';
import { writeJson } from '../../src/report/json.js';
import type { LedgerReport } from '../../src/report/ledger-report.js';
import type { AssetReport, FindingReport, Report } from '../../src/report/report-types.js';
import type { LedgerOptions } from '../../src/waivers/apply-ledger.js';
import type { WaiverText } from '../../src/waivers/ledger.js';
import { glbAsset, sampleFinding, unreadableAsset } from '../report/sample-report.js';
import { applyLedger } from '../support/apply-ledger.js';

const reportOf = (assets: readonly AssetReport[]): Report =>
  makeReport(assets, defaultSettings(rules));
const TODAY = '2031-05-01';

function waiver(change: Partial<WaiverText> = {}): WaiverText {
  const ground = { why: 'a crank', by: 'prop room', until: null };
  return { rule: 'axis.up', asset: 'heron.glb', joint: 'body/neck/beak', ...ground, ...change };
}

/** Applies a ledger that lies in /theatre; its first waiver is on line 2. */
function apply(
  assets: readonly AssetReport[],
  waivers: readonly WaiverText[],
  change: Partial<LedgerOptions> = {},
): { assets: readonly AssetReport[]; ledger: LedgerReport } {
  const read = waivers.map((item, at) => {
    return { ...item, line: at + 2, pattern: assetPattern(item.asset, '/theatre') };
  });
  return applyLedger(
    assets,
    { path: 'house.json', waivers: read },
    {
      today: TODAY,
      base: '/theatre',
      failing: 'error',
      ran: rules.map((rule) => rule.id),
      ...change,
    },
  );
}

/** Whether each finding is waived, asset by asset. */
const marks = (assets: readonly AssetReport[]): boolean[][] =>
  assets.map((asset) => asset.findings.map((finding) => finding.waived !== undefined));

const rolled = glbAsset('heron.glb', [sampleFinding()]);

describe('a waiver', () => {
  it('marks the finding, and the asset is counted and judged without it', () => {
    const { assets, ledger } = apply([rolled], [waiver({ until: '2031-06-01' })]);
    expect(assets[0]?.findings[0]?.waived).toEqual({
      by: 'prop room',
      why: 'a crank',
      until: '2031-06-01',
    });
    expect(assets[0]).toMatchObject({
      verdict: 'sound',
      counts: { error: 0, warning: 0, note: 0 },
    });
    expect(ledger).toEqual({
      path: 'house.json',
      today: TODAY,
      waivers: 1,
      waived: 1,
      exceeded: 0,
      expired: [],
      unmatched: [],
      // It says nothing of how bad it was.
      open: [{ line: 2, ...waiver({ until: '2031-06-01' }), others: 0 }],
      fitting: [2],
    });
  });

  it.each<[string, Partial<WaiverText>]>([
    ['another rule', { rule: 'axis.aim' }],
    ['another asset', { asset: 'mule.glb' }],
    ['the same name in another folder', { asset: 'puppets/heron.glb' }],
    ['a joint above', { joint: 'body/neck' }],
    ['a part of the path', { joint: 'beak' }],
    ['a pattern of joints', { joint: 'body/*' }],
    ['no path at all', { joint: '' }],
  ])('of %s leaves the finding as it is', (_, change) => {
    const { assets } = apply([rolled], [waiver(change)]);
    expect(assets).toEqual([rolled]);
  });

  it('of a pattern of assets waives in each of them', () => {
    const findings = [sampleFinding()];
    const paths = [
      'heron.glb',
      'puppets/heron_2.glb',
      './heron.glb',
      '/theatre/heron.glb',
      'mule.glb',
      '/heron.glb',
    ];
    const { assets } = apply(
      paths.map((path) => glbAsset(path, findings)),
      [waiver({ asset: '**/heron*.glb' })],
    );
    expect(marks(assets)).toEqual([[true], [true], [true], [true], [false], [false]]);
  });

  it('goes by the folder of the ledger, wherever the check runs', () => {
    const { assets } = apply([rolled], [waiver({ asset: 'puppets/heron.glb' })], {
      base: '/theatre/puppets',
    });
    expect(marks(assets)).toEqual([[true]]);
  });

  it('with a star waives at every joint, and without a joint all else of the rule too', () => {
    const rig = { kind: 'rig', name: 'heron', path: 'heron', joint: null } as const;
    const asset = glbAsset('heron.glb', [
      sampleFinding(),
      sampleFinding({ place: { path: 'body' } }),
      sampleFinding({ place: rig }),
      sampleFinding({ rule: 'axis.aim' }),
    ]);
    expect(marks(apply([asset], [waiver({ joint: '*' })]).assets)).toEqual([
      [true, true, false, false],
    ]);
    expect(marks(apply([asset], [waiver({ joint: null })]).assets)).toEqual([
      [true, true, true, false],
    ]);
  });

  it('with a backslash before the star waives at the joint of that name alone', () => {
    const star = sampleFinding({ place: { name: '*', path: '*' } });
    const asset = glbAsset('heron.glb', [star, sampleFinding()]);
    expect(marks(apply([asset], [waiver({ joint: '\\*' })]).assets)).toEqual([[true, false]]);
  });

  it('holds on its last day and not on the next, and is told of when it is past', () => {
    const last = waiver({ until: TODAY });
    expect(marks(apply([rolled], [last]).assets)).toEqual([[true]]);
    const { assets, ledger } = apply([rolled], [last], { today: '2031-05-02' });
    expect(marks(assets)).toEqual([[false]]);
    expect(assets[0]?.findings[0]?.beyond).toEqual([
      'The waiver at line 2 was valid until 2031-05-01, which is past.',
    ]);
    expect(ledger.expired).toEqual([{ line: 2, ...last, others: 0, findings: 1 }]);
    expect(ledger.unmatched).toEqual([]);
  });

  it('that is past is not told of when its assets were not checked', () => {
    const past = waiver({ asset: 'mule.glb', until: '2031-01-01' });
    expect(apply([rolled], [past]).ledger.expired).toEqual([]);
  });

  it.each([
    ['is told of where its folder was searched', '/theatre/', 1],
    ['is not told of where another folder was', '/stage/', 0],
  ])('whose asset is gone %s', (_, folder, told) => {
    const isGone = (path: string): boolean => path.startsWith(folder);
    const waivers = [
      waiver({ asset: 'mule.glb' }),
      waiver({ asset: 'mule.glb', until: '2031-01-01' }),
      waiver({ asset: 'm*.glb' }),
    ];
    const { ledger } = apply([rolled], waivers, { isGone });
    expect(ledger.unmatched.map(({ line }) => line)).toEqual(told === 1 ? [2] : []);
    expect(ledger.expired.map(({ line, findings }) => [line, findings])).toEqual(
      told === 1 ? [[3, null]] : [],
    );
  });

  it('that fits no finding of an asset checked is told of with its line', () => {
    const waivers = [waiver(), waiver({ joint: 'body/tail' })];
    expect(apply([rolled], waivers).ledger.unmatched).toEqual([
      { line: 3, ...waivers[1], others: 0 },
    ]);
  });

  it.each<[string, readonly AssetReport[], Partial<WaiverText>, readonly string[]]>([
    ['of assets that were not checked', [rolled], { asset: 'mule.glb' }, ['axis.up']],
    [
      'of an asset that could not be read',
      [unreadableAsset('heron.glb', 'cut', null)],
      {},
      ['axis.up'],
    ],
    ['of a rule that was not judged', [rolled], { rule: 'rest.bind' }, ['axis.up']],
    [
      'of what came from standard input',
      [glbAsset('-', [sampleFinding()])],
      { asset: '*' },
      ['axis.up'],
    ],
  ])('%s is not told of as idle', (_, assets, change, ran) => {
    const result = apply(assets, [waiver(change)], { ran });
    expect(result.assets).toEqual(assets);
    expect(result.ledger.unmatched).toEqual([]);
  });

  it('that another one comes before is not told of as idle', () => {
    const { assets, ledger } = apply([rolled], [waiver(), waiver({ why: 'a hinge' })]);
    expect(assets[0]?.findings[0]?.waived?.why).toBe('a crank');
    expect(ledger.unmatched).toEqual([]);
  });

  it('leaves an unreadable asset unreadable', () => {
    const asset = unreadableAsset('heron.glb', 'cut', null);
    expect(apply([asset], [waiver()]).assets).toEqual([asset]);
  });

  it.each<[Level | 'never', string]>([
    ['error', 'sound'],
    ['warning', 'unsound'],
    ['note', 'unsound'],
    ['never', 'sound'],
  ])('leaves findings of lower levels to the failing level %s: %s', (failing, verdict) => {
    const asset = glbAsset('heron.glb', [
      sampleFinding(),
      sampleFinding({ level: 'warning', rule: 'axis.aim' }),
    ]);
    const { assets } = apply([asset], [waiver()], { failing });
    expect(assets[0]).toMatchObject({ verdict, counts: { error: 0, warning: 1, note: 0 } });
  });
});

describe('a ledger of ten thousand waivers', () => {
  it('is applied to hundreds of assets in seconds', () => {
    const names = Array.from({ length: 300 }, (_, at) => `submission-${at}.glb`);
    const waivers = names.flatMap((asset) =>
      Array.from({ length: 34 }, (_, at) => waiver({ asset, joint: `body/${at}` })),
    );
    const assets = names.map((path) =>
      glbAsset(
        path,
        Array.from({ length: 34 }, (_, at) => sampleFinding({ place: { path: `body/${at}` } })),
      ),
    );
    const start = performance.now();
    const { ledger } = apply(assets, [...waivers, waiver({ asset: '**/*_*.glb' })]);
    expect(ledger.waived).toBe(10_200);
    expect(performance.now() - start).toBeLessThan(5000);
  });
});

const RULES = ['axis.up', 'axis.aim', 'rest.bind'];
const PATHS = ['body', 'body/neck', 'body/neck/beak', '*', ''];
const finding: fc.Arbitrary<FindingReport> = fc
  .record({
    rule: fc.constantFrom(...RULES),
    level: fc.constantFrom<Level>('error', 'warning', 'note'),
    path: fc.constantFrom(...PATHS),
    kind: fc.constantFrom('joint' as const, 'rig' as const),
  })
  .map(({ rule, level, path, kind }) => sampleFinding({ rule, level, place: { path, kind } }));
const assetOf = fc
  .record({
    path: fc.constantFrom('heron.glb', 'mule.glb', 'puppets/heron.glb', '-'),
    findings: fc.array(finding, { maxLength: 8 }),
  })
  .map(({ path, findings }) => glbAsset(path, findings));
const anyAssets = fc.array(assetOf, { maxLength: 5 });
const anyWaivers = fc.array(
  fc.record({
    rule: fc.constantFrom(...RULES),
    asset: fc.constantFrom('heron.glb', '*.glb', '**', 'puppets/*', '{heron,mule}.glb', 'none.glb'),
    joint: fc.constantFrom(...PATHS, '\\*', null),
    why: fc.constantFrom('a crank', 'a hinge'),
    by: fc.constant('prop room'),
    until: fc.constantFrom(null, '2031-04-30', TODAY, '2032-01-01'),
  }),
  { maxLength: 10 },
);
const anyLevel = fc.constantFrom<Level | 'never'>('error', 'warning', 'note', 'never');

const holds = (property: fc.IProperty<[AssetReport[], WaiverText[], Level | 'never']>): void =>
  fc.assert(property, { seed: 23, numRuns: 400 });

describe('whatever the ledger and the assets', () => {
  it('applying it twice is applying it once', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const once = apply(assets, waivers, { failing });
        expect(apply(once.assets, waivers, { failing })).toEqual(once);
      }),
    );
  });

  it('the order of the waivers has no say in which findings are waived', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const [one, other] = [waivers, [...waivers].reverse()].map((list) =>
          apply(assets, list, { failing }),
        );
        expect(marks(one?.assets ?? [])).toEqual(marks(other?.assets ?? []));
        expect(one?.ledger.unmatched.length).toBe(other?.ledger.unmatched.length);
      }),
    );
  });

  it('nothing is lost, added or changed but the marks, the counts and the verdict', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const bare = (list: readonly AssetReport[]): unknown =>
          list.map(({ counts: _, verdict: __, ...asset }) => ({
            ...asset,
            findings: asset.findings.map(({ waived: ___, beyond: ____, ...rest }) => rest),
          }));
        expect(bare(apply(assets, waivers, { failing }).assets)).toEqual(bare(assets));
      }),
    );
  });

  it('counts are of the findings not waived, and decide the verdict', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const ranks = ['error', 'warning', 'note', 'never'];
        for (const asset of apply(assets, waivers, { failing }).assets) {
          const left = asset.findings.filter((item) => item.waived === undefined);
          for (const level of ['error', 'warning', 'note'] as const)
            expect(asset.counts[level]).toBe(left.filter((item) => item.level === level).length);
          const fails = left.some(
            (item) => failing !== 'never' && ranks.indexOf(item.level) <= ranks.indexOf(failing),
          );
          expect(asset.verdict).toBe(fails ? 'unsound' : 'sound');
        }
      }),
    );
  });

  it('one waiver more waives no finding less and makes no sound asset unsound', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const all = apply(assets, waivers, { failing });
        const fewer = apply(assets, waivers.slice(0, -1), { failing });
        expect(fewer.ledger.waived).toBeLessThanOrEqual(all.ledger.waived);
        marks(fewer.assets).forEach((list, asset) => {
          list.forEach((mark, at) => {
            if (mark) expect(marks(all.assets)[asset]?.[at]).toBe(true);
          });
          if (fewer.assets[asset]?.verdict === 'sound')
            expect(all.assets[asset]?.verdict).toBe('sound');
        });
      }),
    );
  });

  it('a day later no finding more is waived', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const today = apply(assets, waivers, { failing });
        const later = apply(assets, waivers, { failing, today: '2031-05-02' });
        expect(later.ledger.waived).toBeLessThanOrEqual(today.ledger.waived);
        expect(later.ledger.expired.length).toBeGreaterThanOrEqual(today.ledger.expired.length);
      }),
    );
  });

  it('the report of it is plain data', () => {
    holds(
      fc.property(anyAssets, anyWaivers, anyLevel, (assets, waivers, failing) => {
        const { assets: applied, ledger } = apply(assets, waivers, { failing });
        expect(JSON.parse(JSON.stringify(ledger))).toEqual(ledger);
        expect(JSON.parse(writeJson(reportOf(applied))).assets).toEqual(applied);
      }),
    );
  });
});
