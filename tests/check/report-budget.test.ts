import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { ASSET_LIMITS } from '../../src/asset/limits.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { ReportBudget } from '../../src/check/report-budget.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';

/** A skin of so many joints, the first above all others. */
function fan(names: readonly string[]): Promise<AssetReport> {
  const [top = '', ...others] = names;
  const nodes = [
    { name: top, children: others.map((_, at) => at + 1) },
    ...others.map((name, at) => ({ name, translation: [0, 0.01 * (at + 1), 0] })),
  ];
  const json = {
    asset: { version: '2.0' },
    scenes: [{ nodes: [0] }],
    nodes,
    skins: [{ joints: nodes.map((_, at) => at) }],
  };
  const bytes = Buffer.from(JSON.stringify(json));
  return checkAssetBytes(bytes, { settings: defaultSettings(rules) });
}

const strings = (count: number): string[] =>
  Array.from({ length: count }, (_, at) => `string ${at}`);

describe('what one asset puts into a report', () => {
  it('is refused with its reason once it is more than the limit, and not before', () => {
    const budget = new ReportBudget(100);
    expect(budget.take('joints', 'n'.repeat(92))).toHaveLength(92);
    expect(() => budget.take('rigs', null)).toThrow(AssetError);
    expect(() => new ReportBudget(100).take('findings', { places: ['n'.repeat(93)] })).toThrow(
      /more than 100 letters.*its findings; shorten/,
    );
  });

  it('is refused before it is measured where it will be too much, and not counted twice', () => {
    const budget = new ReportBudget(100);
    budget.foresee('joints', ['n'.repeat(42), 'n'.repeat(42)]);
    expect(budget.take('joints', 'n'.repeat(92))).toHaveLength(92);
    expect(() => budget.foresee('joints', ['n'])).toThrow('the names and paths of its joints');
  });

  it('counts all that is in it, however deep', () => {
    const places = Array.from({ length: 10 }, () => ({ path: 'body/neck', at: [1, 2, 3] }));
    expect(() => new ReportBudget(400).take('findings', { places })).toThrow(AssetError);
    expect(new ReportBudget(800).take('findings', { places })).toEqual({ places });
  });

  it('a name that every path below repeats makes the asset unreadable', async () => {
    const report = await fan(['n'.repeat(ASSET_LIMITS.nameLetters), ...strings(100)]);
    expect(report.unreadable?.reason).toContain('the names and paths of its joints');
    expect([report.rigs, report.findings, report.container]).toEqual([[], [], null]);
  });

  it.each([
    ['joints', 'the names and paths of its joints'],
    ['findings', 'its findings'],
    ['rigs', 'its rigs, and there are too many'],
  ] as const)('is told to be mostly %s where it is', (share, words) => {
    const budget = new ReportBudget(100);
    for (const other of ['rigs', 'joints', 'findings'] as const) budget.take(other, 'n');
    expect(() => budget.take(share, 'n'.repeat(99))).toThrow(words);
  });

  it('two thousand joints with plain names are far within it', async () => {
    const report = await fan(['carrier', ...strings(2000)]);
    expect(report.unreadable).toBeNull();
    expect(report.rigs[0]?.joints).toHaveLength(2001);
  });
});

describe('a name', () => {
  it('is read up to its limit', async () => {
    const name = 'n'.repeat(ASSET_LIMITS.nameLetters);
    expect((await fan(['top', name])).rigs[0]?.joints[1]?.name).toBe(name);
  });

  it('longer than that makes the asset unreadable, told with its place', async () => {
    const { unreadable } = await fan(['top', 'n'.repeat(200_000)]);
    expect(unreadable).toEqual({
      reason: 'the name has 200000 letters (limit 131072); shorten it',
      where: '/nodes/1/name',
    });
  });
});
