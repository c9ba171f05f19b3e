import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings } from '../../../src/check/settings.js';

const SKEW = faultNamed('slightly-sheared-shin');
const LARGE = faultNamed('sheared-shin');

/** What is told of a heron whose shin is rolled, below a thigh that is scaled unequally by so much. */
async function told(roll: number, percent: number): Promise<string[]> {
  const puppet = raisePuppet('heron');
  puppet.turnFrame('shin_L', 'aim', roll);
  SKEW.apply(puppet, percent);
  const bytes = mainFile(buildPuppet(puppet));
  const settings = defaultSettings(rules);
  const { findings } = await checkAssetBytes(bytes, { settings, name: 'heron.glb' });
  return findings.map(({ rule, level }) => `${level} ${rule}`);
}

test('a shin that is flipped is told, although a small skew from above is at it, too', async () => {
  expect(await told(180, SKEW.failing)).toEqual([
    'warning scale.nonuniform',
    'error axis.up',
    'warning scale.shear',
  ]);
  expect(await told(0, SKEW.failing)).toEqual(['warning scale.nonuniform', 'warning scale.shear']);
});

test('where the skew is an error, it is told alone: what is left is seen once it is mended', async () => {
  expect(await told(180, LARGE.failing)).toEqual(['error scale.nonuniform', 'error scale.shear']);
});
