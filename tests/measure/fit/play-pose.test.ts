import { expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import { carriedClips } from '../../../src/measure/fit/clip-carry.js';
import { PlayPose } from '../../../src/measure/fit/play-pose.js';
import { ClipPose, sampleChannel } from '../../../src/measure/pose/clip-sampling.js';
import { factsBeside, soundAsset } from '../../support/beside-approved.js';

/** Metres, and shares of a unit vector: float64, a dozen products in a row. */
const ROUNDING = 1e-12;

test.each(castNames)('the %s is posed as one node at a time is', async (cast) => {
  const facts = await factsBeside(buildGlb(cast), await soundAsset(cast));
  const { nodes, joints, clips } = facts.rig;
  const carried = carriedClips(facts);
  expect(carried.map(({ name }) => name)).toEqual(clips.map(({ name }) => name));
  let [worst, moved] = [0, 0];
  for (const [index, { channels, onRig }] of carried.entries()) {
    const clip = clips[index];
    if (clip === undefined) throw new Error('no clip');
    const slow = new ClipPose(facts.rig, clip);
    const quick = new PlayPose(nodes, onRig, joints.node);
    for (const time of [0, 0.37, 1.2, 2]) {
      const values = new Float64Array(4 * channels.length);
      for (const [at, channel] of channels.entries())
        sampleChannel(channel, time, values.subarray(4 * at, 4 * at + 4));
      quick.pose(values);
      slow.seek(time);
      for (const node of joints.node) {
        const from = quick.offsetOf[node] ?? -1;
        for (const [at, value] of slow.worldOf(node).entries()) {
          worst = Math.max(worst, Math.abs(value - (quick.world[from + at] ?? Number.NaN)));
          moved = Math.max(moved, Math.abs(value - (nodes.world[16 * node + at] ?? Number.NaN)));
        }
      }
    }
  }
  expect(worst).toBeLessThan(ROUNDING);
  expect(moved).toBeGreaterThan(0.05);
});
