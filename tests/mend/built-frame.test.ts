// Source: three.js (npm `three`) for where vertices stand before and after, see `skins-in-three.ts`.
import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { tempFolder } from '../support/temp-folder.js';
import { farthestSkin } from './skins-in-three.js';

const settings = defaultSettings(rules);
/** Share of the figure's reach. */
const SAME = 1e-5;

test.each([
  ['heron', 'spine_high', 'aim', 'which ends a segment and begins another'],
  ['mule', 'head', 'aim', 'which ends its segment'],
  ['mule', 'loin', 'aim', 'which is the first of two'],
  ['stag-beetle', 'head', 'aim', 'beside one that is blamed for it'],
  ['caterpillar', 'ring_back_2', 'aim', 'beside one that is blamed for it'],
  ['heron', 'body', 'up', 'which branches and aims at none of its children'],
  ['mule', 'trunk', 'up', 'which branches and aims at none of its children'],
  ['marionette', 'spine_high', 'up', 'which branches and aims at none of its children'],
] as const)(
  '%s: %s, turned about its %s axis, %s, is turned back',
  async (name, joint, axis, _how) => {
    const puppet = raisePuppet(name);
    puppet.turnFrame(joint, axis, 90);
    const bytes = mainFile(buildPuppet(puppet));
    const path = `${tempFolder({ 'rig.glb': bytes })}/rig.glb`;
    const { before, after, left, files } = await mendAsset(path, settings, [turnedFrames]);
    expect(before.findings.map(({ rule }) => rule).join()).toMatch(/axis\./);
    expect([after.findings.map(({ rule }) => rule), left]).toEqual([[], []]);
    expect(await farthestSkin(bytes, files.main)).toBeLessThan(SAME);
  },
);
