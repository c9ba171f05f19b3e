import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, rulesToRun } from '../../src/check/settings.js';
import type { AssetTimes } from '../../src/report/asset-times.js';

const settings = defaultSettings(rules);

/** The times of a check by a clock that ticks once a look. */
async function timesOf(bytes: Uint8Array): Promise<AssetTimes[]> {
  const taken: AssetTimes[] = [];
  let ticks = 0;
  await checkAssetBytes(bytes, {
    settings,
    timer: () => ticks++,
    onTimes: (times) => taken.push(times),
  });
  return taken;
}

test('each rule that is run on a rig, or on the asset, has a time, and all are in the whole', async () => {
  const [times] = await timesOf(buildGlb('heron'));
  const run = rulesToRun(settings);
  const wanted = (['asset', 'rig'] as const).flatMap((scope) =>
    run
      .filter((rule) => rule.scope === scope)
      .map(({ id }) => ({ rig: scope === 'asset' ? null : 0, rule: id, time: 1 })),
  );
  expect(times?.rules).toEqual(wanted);
  // A look before and one after each rule, and one at either end.
  expect(times?.total).toBe(2 * wanted.length + 1);
});

test('a file that cannot be read took its time as well', async () => {
  const [times] = await timesOf(buildGlb('heron').slice(0, 100));
  expect(times).toEqual({ total: 1, rules: [] });
});
