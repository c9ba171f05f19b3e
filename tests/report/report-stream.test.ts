import { describe, expect, test } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import { collected, Tally } from '../../src/report/report-stream.js';
import type { Verdict } from '../../src/report/report-types.js';
import { glbAsset, sampleReport } from './sample-report.js';

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

describe('a form that is written in one piece', () => {
  const report = sampleReport([glbAsset('heron.glb')]);
  const end = (write: () => string): string => collected(report, write).end(report);

  test('is told to be too long in one line, with what to do', () => {
    const tooLong = (): string => 'n'.repeat(2 ** 30);
    expect(() => end(tooLong)).toThrow(UsageError);
    expect(() => end(tooLong)).toThrow(/longer than 512 MiB, .* --part/);
  });

  test('passes on any other error, for that is a fault of ours', () => {
    const range = (): string => String(new Array(-1));
    expect(() => end(range)).toThrow('Invalid array length');
  });
});
