import { describe, expect, test } from 'vitest';
import { compareFindings } from '../../src/mend/compare-findings.js';
import type { AssetReport, FindingReport } from '../../src/report/report-types.js';
import { glbAsset, sampleFinding } from '../report/sample-report.js';

function compared(before: readonly FindingReport[], after: readonly FindingReport[]) {
  const asset = (findings: readonly FindingReport[]): AssetReport =>
    glbAsset('heron.glb', findings);
  const { fresh, grown, risen, kept } = compareFindings(asset(before), asset(after));
  return {
    fresh: fresh.map(({ rule }) => rule),
    grown: grown.map(({ places }) => places.map(({ path }) => path)),
    risen: risen.map(({ from, finding }) => `${from} ${finding.level}`),
    kept: kept.length,
  };
}

const NOTHING = { fresh: [], grown: [], risen: [] };
const beak = sampleFinding();
/** The same joint after the joints were renamed. */
const bill = sampleFinding({ identity: 'b', place: { name: 'bill', path: 'trunk/neck/bill' } });
/** Node 3, another joint. */
const neck = sampleFinding({
  place: { name: 'neck', path: 'body/neck', joint: 1, node: 3, pointer: '/nodes/3' },
});

describe('findings before and after a mend', () => {
  test('are the same by rule and joint, whatever the joint is called now', () => {
    expect(compared([beak], [bill])).toEqual({ ...NOTHING, kept: 1 });
  });

  test('are new where the rule told nothing of the joint before, though another joint had its name', () => {
    const namesake = sampleFinding({ place: { node: 3, pointer: '/nodes/3' } });
    expect(compared([beak], [namesake])).toEqual({ ...NOTHING, fresh: ['axis.up'], kept: 0 });
    expect(compared([beak], [sampleFinding({ rule: 'axis.aim' })])).toEqual({
      ...NOTHING,
      fresh: ['axis.aim'],
      kept: 0,
    });
  });

  test('are the same when they are told at another of their places', () => {
    const both = [beak.place, neck.place];
    const before = { ...beak, places: both };
    expect(compared([before], [{ ...neck, places: both }])).toEqual({ ...NOTHING, kept: 1 });
    expect(compared([before], [neck])).toEqual({ ...NOTHING, kept: 1 });
  });

  test('have grown where they tell of a joint that the rule did not tell of', () => {
    const after = { ...beak, places: [beak.place, neck.place] };
    expect(compared([beak], [after])).toEqual({ ...NOTHING, grown: [['body/neck']], kept: 1 });
    // Nor has one that two findings told of before.
    expect(compared([beak, neck], [after])).toEqual({ ...NOTHING, kept: 1 });
  });

  test('have risen where their level is more serious than any before', () => {
    const warned = sampleFinding({ level: 'warning' });
    expect(compared([warned], [beak])).toEqual({ ...NOTHING, risen: ['warning error'], kept: 1 });
    expect(compared([beak], [warned])).toEqual({ ...NOTHING, kept: 1 });
    expect(compared([warned, beak], [beak])).toEqual({ ...NOTHING, kept: 1 });
  });

  test('about a rig are the same when it has another name', () => {
    const about = (name: string) =>
      sampleFinding({ place: { kind: 'rig', name, path: name, joint: null, node: null } });
    expect(compared([about('body')], [about('trunk')])).toEqual({ ...NOTHING, kept: 1 });
  });
});
