import { describe, expect, test } from 'vitest';
import { Tally } from '../../src/report/report-stream.js';
import type { Verdict } from '../../src/report/report-types.js';
import { glbAsset } from './sample-report.js';

describe('the verdict of a run', () => {
  test.each<[Verdict[], boolean, Verdict | null]>([
    [['sound', 'sound'], false, 'sound'],
    [['sound', 'unsound'], false, 'unsound'],
    [['unreadable', 'unsound', 'sound'], false, 'unreadable'],
    // What was not looked at may be unsound, and what was found stays found.
    [['sound', 'sound'], true, null],
    [['sound', 'unsound'], true, 'unsound'],
    [['unreadable'], true, 'unreadable'],
    [[], true, null],
    [[], false, null],
  ])('%j, stopped %j: %j', (verdicts, stopped, verdict) => {
    const tally = new Tally();
    for (const each of verdicts) tally.add({ ...glbAsset('heron.glb'), verdict: each });
    expect(tally.verdict(stopped)).toBe(verdict);
  });
});
