import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { AssetReport } from '../../../src/report/report-types.js';
import { changed, checkBeside, soundAsset } from '../../support/beside-approved.js';
import { withLimit } from '../../support/findings-of.js';

const hang =
  (degrees: number) =>
  (puppet: Puppet): void =>
    puppet.pose('wing_2_L', 'side', degrees);

function toldBy({ findings }: AssetReport) {
  return findings.filter(({ rule }) => rule === 'fit.play');
}

describe('what clips show', () => {
  test('otherwise is told once, at the worst joint, with both numbers', async () => {
    const report = await checkBeside(changed('heron', hang(12)), await soundAsset('heron'));
    const [told, ...more] = toldBy(report);
    expect(more).toEqual([]);
    expect(told).toMatchObject({
      level: 'error',
      place: { name: 'wing_3_L' },
      limit: 5,
      unit: 'degrees',
      counts: { looked: 28, short: 3 },
    });
    expect(told?.measured).toBeCloseTo(12, 4);
    expect(told?.also).toHaveLength(1);
    expect(told?.places.map(({ name }) => name).sort()).toEqual([
      'wing_2_L',
      'wing_3_L',
      'wing_tip_L',
    ]);
    expect(told?.message).toMatch(
      /^The clip "wade" of heron\.glb shows the bone to "wing_3_L" 12° off at 0 s \(limit 5°\); its joint is up to 4\.27 % of size .+ off\. In all, 3 joints are off: /,
    );
  });

  test('is held to the limits of the standard', async () => {
    const bytes = changed('heron', hang(12));
    const asset = await soundAsset('heron');
    const loose = withLimit('fit.play', { angle: 13, away: 20 });
    expect(toldBy(await checkBeside(bytes, asset, loose))).toEqual([]);
    const [told] = toldBy(
      await checkBeside(bytes, asset, withLimit('fit.play', { angle: 13, away: 3 })),
    );
    expect([told?.unit, told?.limit, told?.also]).toEqual(['% of size', 3, undefined]);
    expect(told?.measured).toBeCloseTo(4.27, 1);
    // With no room at all, what numbers of 32 bits leave is still no difference.
    const none = withLimit('fit.play', { angle: 0, away: 0 });
    expect(
      toldBy(await checkBeside(buildGlb('marionette'), await soundAsset('marionette'), none)),
    ).toEqual([]);
    expect(toldBy(await checkBeside(changed('heron', hang(0.05)), asset, none))).toHaveLength(1);
  });

  test('is said with the difference that it follows from, and not by itself', async () => {
    const bytes = changed('heron', (puppet) => puppet.turnFrame('neck_low', 'side', 17));
    const report = await checkBeside(bytes, await soundAsset('heron'));
    const [told, ...more] = report.findings.filter(({ rule }) => rule.startsWith('fit.'));
    expect(more).toEqual([]);
    expect(told).toMatchObject({ rule: 'fit.frame', insteadOf: ['fit.play'] });
    expect(told?.consequences).toEqual([
      expect.stringMatching(
        /^In clips, bones point up to 17° wrong, and joints and skin are up to [\d.]+ % of size from their place, most at "neck_bend" in "wade" at [\d.]+ s\.$/,
      ),
    ]);
  });

  test.each(castNames)('on the %s itself is measured and sound', async (cast) => {
    const report = await checkBeside(buildGlb(cast), await soundAsset(cast));
    expect(report.findings).toEqual([]);
    const measured = report.rigs.flatMap((rig) => rig.measured);
    const entry = measured.find(({ rule }) => rule === 'fit.play');
    expect(entry).toMatchObject({ kind: 'judged', short: 0, of: 'joints' });
    expect(entry?.kind === 'judged' && entry.looked).toBeGreaterThan(20);
  });

  test('is not judged where the approved asset has no clip', async () => {
    const asset = { ...(await soundAsset('heron')), clips: [] };
    const report = await checkBeside(changed('heron', hang(12)), asset);
    expect(toldBy(report)).toEqual([]);
    const measured = report.rigs.flatMap((rig) => rig.measured);
    expect(measured.find(({ rule }) => rule === 'fit.play')).toMatchObject({
      kind: 'not applicable',
      because: 'no clip of the approved asset poses a joint that this rig has',
    });
  });

  test('is not judged without an approved asset', async () => {
    const report = await checkBeside(changed('heron', hang(12)), await soundAsset('caterpillar'));
    expect(toldBy(report)).toEqual([]);
  });
});
