import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';

test('of a rig that is rolled all over, three of what follows are told and the others counted', async () => {
  const puppet = raisePuppet('stag-beetle');
  puppet.joints.forEach(({ name }, at) => {
    if (at % 2 === 1) puppet.turnFrame(name, 'aim', 35 + ((at * 47) % 140));
  });
  const bytes = mainFile(buildPuppet(puppet));
  const settings = defaultSettings(rules);
  const { findings } = await checkAssetBytes(bytes, { settings, name: 'beetle.glb' });
  const [random] = findings.filter(({ rule }) => rule === 'axis.up');
  expect(random?.consequences).toHaveLength(4);
  expect(random?.consequences.at(-1)).toMatch(/^[1-9]\d* more such faults? follows? from it\.$/);
});
