import { describe, expect, it } from 'vitest';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport, FindingReport, Report } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { glbAsset, listingFinding, sampleFinding, sampleReport } from './sample-report.js';

const plain = { columns: 80, paint: PLAIN, quiet: false };

function verdictOf(findings: readonly FindingReport[], failing: Report['failing'] = 'error') {
  const unsound = findings.some(({ waived, level }) => waived === undefined && level === failing);
  const asset: AssetReport = {
    ...glbAsset('heron.glb', findings),
    verdict: unsound ? 'unsound' : 'sound',
  };
  const text = writeText({ ...sampleReport([asset]), failing }, plain).replace(/\s+/g, ' ');
  return text.slice(text.indexOf('Verdict:')).replace(/ \d+ errors?, \d+ warning.*/, '');
}

const neck = { name: 'neck', path: 'body/neck', joint: 1, node: 2, pointer: '/nodes/2' };

const root = sampleFinding({
  rule: 'root.single',
  remedy: 'Parent "a. b" to "beak". Then see.',
  place: { kind: 'rig', name: 'heron', path: 'heron', joint: null },
});
const sum = sampleFinding({
  rule: 'skin.sum',
  remedy: 'Normalise the weights.',
  place: { kind: 'mesh', name: 'feathers', path: 'feathers', joint: null, pointer: '/meshes/0' },
});

describe('the verdict of an asset', () => {
  it('names each cause once, what is mended first at its head, and that alone is to be done', () => {
    expect(
      verdictOf([sampleFinding(), sampleFinding(), sampleFinding({ place: neck }), root, sum]),
    ).toBe(
      'Verdict: unsound, because of 5 errors: skin.sum at "feathers", root.single, axis.up at "beak" and 1 other joint. First: Normalise the weights.',
    );
  });

  it('gives the first sentence of what to do, and no name is cut for its full stop', () => {
    expect(verdictOf([root])).toBe(
      'Verdict: unsound, because of 1 error: root.single. First: Parent "a. b" to "beak".',
    );
  });

  it('of a rig says how many joints it lists, and leaves the names out of a long step', () => {
    const names = Array.from({ length: 30 }, (_, at) => `"feather: ${at}"`).join(', ');
    const remedy = `Hang "a: b" and all others on their joint, keeping their places: ${names}. Then see.`;
    const { places } = listingFinding(3);
    expect(verdictOf([{ ...root, remedy, places }])).toBe(
      'Verdict: unsound, because of 1 error: root.single at 4 joints. First: Hang "a: b" and all others on their joint, keeping their places.',
    );
  });

  it('names a rule where it is farthest past its limit', () => {
    const far = sampleFinding({ place: neck, measured: 180, remedy: 'Turn "neck".' });
    expect(verdictOf([sampleFinding(), far])).toBe(
      'Verdict: unsound, because of 2 errors: axis.up at "neck" and 1 other joint. First: Turn "neck".',
    );
  });

  it('goes by the level before the family', () => {
    const warning = { ...sum, level: 'warning' as const };
    expect(verdictOf([warning, root])).toContain('because of 1 error: root.single. First: Parent');
    expect(verdictOf([warning])).toBe(
      'Verdict: sound. Mend first skin.sum at "feathers": Normalise the weights.',
    );
  });

  it('of an asset with notes alone, or with what is waived, asks for nothing', () => {
    const waived = { by: 'props', why: 'a crank', until: null };
    expect(verdictOf([{ ...root, level: 'note' }])).toBe('Verdict: sound.');
    expect(verdictOf([{ ...root, waived }])).toBe('Verdict: sound.');
  });

  it('counts what fails where warnings do', () => {
    expect(verdictOf([{ ...root, level: 'warning' }, sum], 'warning')).toBe(
      'Verdict: unsound, because of 1 error and 1 warning: skin.sum at "feathers", root.single. First: Normalise the weights.',
    );
  });

  it('names four rules and counts the others', () => {
    const rules = ['axis.up', 'axis.aim', 'chain.length', 'place.pair', 'name.side', 'rest.bind'];
    expect(verdictOf(rules.map((rule) => sampleFinding({ rule })))).toContain(
      '6 errors: chain.length at "beak", rest.bind at "beak", axis.aim at "beak", axis.up at "beak" and 2 more rules.',
    );
  });
});

it('several assets are summed up by what makes most of them unsound', () => {
  const text = (...assets: AssetReport[]): string =>
    writeText(sampleReport(assets), plain).replace(/\s+/g, ' ');
  const bad = (path: string, ...findings: FindingReport[]): AssetReport => glbAsset(path, findings);
  expect(
    text(bad('a.glb', sampleFinding(), root), bad('b.glb', sampleFinding()), bad('c.glb', sum)),
  ).toMatch(/in all\. Most often unsound because of axis\.up \(2 assets\)\. Findings by rule:/);
  expect(text(bad('a.glb', root), bad('c.glb', sum))).toMatch(/in all\. Findings by rule:/);
});

it('a rule holds where it held on every rig', () => {
  const asset = glbAsset('heron.glb', []);
  const [rig] = asset.rigs;
  if (rig === undefined) throw new Error('the sample has no rig');
  const judged = { kind: 'judged', looked: 3, of: 'joints', elsewhere: 0 } as const;
  const rigs = [
    { ...rig, measured: ['a', 'b', 'c'].map((rule) => ({ ...judged, rule, short: 0 })) },
    {
      ...rig,
      index: 1,
      measured: [
        { ...judged, rule: 'a', short: 0 },
        { ...judged, rule: 'b', short: 0, elsewhere: 1 },
        { rule: 'c', kind: 'not applicable' as const, because: 'there is none' },
        { rule: 'd', kind: 'not applicable' as const, because: 'there is none' },
      ],
    },
  ];
  const told = (findings: readonly FindingReport[]): string =>
    writeText(sampleReport([{ ...asset, rigs, findings }]), plain);
  expect(told([])).toContain('2 of 3 rules passed, 1 not applicable.');
  expect(told([sampleFinding({ rule: 'c' })])).toContain('1 of 3 rules passed, 1 not applicable.');
  expect(told([sampleFinding({ rule: 'file.no-skin', rig: null })])).toContain(
    '2 of 4 rules passed, 1 not applicable.',
  );
});

it('assets are unsound by the failing level of their own standard, one by one and in the sum', () => {
  const path = 'stage/trysquare.json';
  const standard = { path, failing: 'warning' as const, unit: 'cm', settings: 'f'.repeat(32) };
  const mild = sampleFinding({ level: 'warning' });
  const own = (name: string): AssetReport => ({
    ...glbAsset(name, [mild]),
    verdict: 'unsound',
    standard,
  });
  const text = writeText(sampleReport([own('a.glb'), own('b.glb')]), plain).replace(/\s+/g, ' ');
  expect(text).toContain(
    'a.glb Checked against the standard stage/trysquare.json. Findings at level warning or above make a rig unsound.',
  );
  expect(text).toContain('size 1.25 cm');
  expect(text.match(/Verdict: unsound, because of 1 warning/g)).toHaveLength(2);
  expect(text).toMatch(/Most often unsound because of axis\.up \(2 assets\)\. Findings by rule:/);
});
