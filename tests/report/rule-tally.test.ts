import { expect, it } from 'vitest';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { RuleTally, tallyLines } from '../../src/report/rule-tally.js';

const asset = (
  ...findings: readonly (readonly [
    rule: string,
    level: FindingReport['level'],
    waived?: 'waived',
  ])[]
) =>
  ({
    findings: findings.map(([rule, level, waived]) => ({
      rule,
      level,
      ...(waived && { waived: {} }),
    })),
  }) as unknown as AssetReport;

it('counts assets and findings by rule, the rule of most assets first, and none that was waived', () => {
  const tally = new RuleTally();
  tally.add(asset(['axis.up', 'error'], ['axis.up', 'warning'], ['skin.sum', 'error']));
  // One asset says it all by itself.
  expect(tallyLines(tally.rules())).toEqual([]);
  tally.add(asset(['axis.up', 'warning'], ['root.single', 'error', 'waived']));
  tally.add(asset(['chain.length', 'note']));
  expect(tallyLines(tally.rules())).toEqual([
    'axis.up       2 assets  1 error, 2 warnings',
    'skin.sum      1 asset   1 error',
    'chain.length  1 asset   1 note',
  ]);
});
