// Sources: three.js (npm `three`) for where vertices stand in clips, see `skins-in-three.ts`; glTF 2.0, 3.11
// Animations (what a clip does not target keeps what its node stores).
import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { Channel } from '../../fixtures/kit/clips.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { LARGEST_SHIFT } from '../../src/mend/proof/proof-limits.js';
import { clipScaleKeys } from '../../src/mend/repairs/clip-scales.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { runRepair } from './run-repair.js';
import { farthestSkin } from './skins-in-three.js';

const ASKED = { allow: new Set(['scale.animated']) };
/** Share of the figure's reach. */
const SAME = 1e-5;

function pulse(joint: string, most: Vec3): Channel {
  const scales: Vec3[] = [[1, 1, 1], most, [1, 1, 1]];
  return { joint, path: 'scale', interpolation: 'LINEAR', times: [0, 1, 2], scales };
}

function caterpillar(change: (puppet: Puppet) => void = () => undefined): Uint8Array {
  const puppet = raisePuppet('caterpillar');
  change(puppet);
  return mainFile(buildPuppet(puppet));
}

test('scale keys are left until somebody allows the change, and then the clip plays without them', async () => {
  const bytes = caterpillar((puppet) => {
    puppet.clip().channels.push(pulse('head', [1, 1.2, 1]));
  });
  const unasked = await applyRepair(bytes, clipScaleKeys);
  expect([unasked.changes, Buffer.compare(unasked.bytes, bytes)]).toEqual([[], 0]);
  const [told] = unasked.left;
  expect(told?.why).toMatch(
    /^without its scale keys skin could move by up to \S+ % of size, .* --allow-change scale\.animated$/,
  );
  const mended = await applyRepair(bytes, clipScaleKeys, ASKED);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  // As if it had never been keyed.
  expect(await farthestSkin(caterpillar(), mended.bytes)).toBeLessThan(SAME);
  // What is told in advance is a bound.
  const bound = Number(/up to (\S+) %/.exec(told?.why ?? '')?.[1]) / 100;
  expect(mended.shift).toBeGreaterThan(LARGEST_SHIFT);
  expect(mended.shift).toBeLessThanOrEqual(bound);
  const twice = await applyRepair(mended.bytes, clipScaleKeys, ASKED);
  expect([twice.changes, Buffer.compare(twice.bytes, mended.bytes)]).toEqual([[], 0]);
});

test('a clip that keys nothing else goes on keying the stored scale', async () => {
  const bytes = caterpillar((puppet) => {
    const { channels } = puppet.clip();
    channels.length = 0;
    channels.push(pulse('head', [0.5, 1, 1]));
  });
  const mended = await applyRepair(bytes, clipScaleKeys, ASKED);
  const { json } = splitGlb(mended.bytes);
  const counts = json.animations?.map(({ channels, samplers }) => [
    channels.length,
    samplers.length,
  ]);
  expect(counts).toEqual([[1, 1]]);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  const still = caterpillar((puppet) => {
    const { channels } = puppet.clip();
    channels.length = 0;
    channels.push(pulse('head', [1, 1, 1]));
  });
  expect(await farthestSkin(still, mended.bytes)).toBeLessThan(SAME);
});

test('what nobody sees is mended unasked', async () => {
  const bytes = caterpillar((puppet) => {
    puppet.clip().channels.push(pulse('head', [1, 1.00005, 1]));
  });
  const limits = new Map([['scale.animated', { scale: 0.001 }]]);
  const { found, remaining, changes, moved } = await runRepair(clipScaleKeys, bytes, { limits });
  expect([found, remaining, changes.length]).toEqual([['scale.animated'], [], 1]);
  expect(moved).toBeGreaterThan(0);
  expect(moved).toBeLessThanOrEqual(LARGEST_SHIFT);
});
