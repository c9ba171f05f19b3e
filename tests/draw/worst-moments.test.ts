import { expect, it } from 'vitest';
import { swing } from '../../fixtures/kit/clips.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { significant } from '../../src/kit/figures.js';
import { worstMoment } from '../../src/page/client/worst-moment.js';
import { changed, soundAsset } from '../support/beside-approved.js';
import { withLimit } from '../support/findings-of.js';
import { drawable } from './drawn.js';

/** A clip that poses the wing which a delivery lets hang, and so shows nothing of that. */
const flap = changed('heron', ({ clips }) => {
  clips.splice(0, 1, { name: 'flap', channels: [swing('wing_2_L', [0, 0, 1], [0, 20, 0])] });
});

const hang = (puppet: Puppet): void => puppet.pose('wing_2_L', 'side', 12);

/** All that hangs on the joint is off by this much; its bone, which is longer, is hardly turned. */
const stretch = (puppet: Puppet): void => {
  puppet.joint('neck_high').restMove = [0, 0.12, 0.02];
};

interface Limits {
  readonly angle?: number;
  readonly away?: number;
}

/** What is told of a heron, and the worst moments that its page gets. */
async function told(change: (puppet: Puppet) => void, limits: Limits = {}) {
  const asset = await soundAsset('heron', flap);
  const settings = withLimit('fit.play', { angle: 5, away: 2, ...limits });
  const { scene, report } = await drawable(changed('heron', change), 'heron.glb', settings, asset);
  const finding = report.findings.find(({ rule }) => rule === 'fit.play');
  const clips = scene.rigs[0]?.approved?.clips ?? [];
  expect(clips.map(({ name }) => name)).toEqual(['wade', 'flap']);
  return { finding, clips, joints: report.rigs[0]?.joints ?? [] };
}

it.each([
  ['a bone', hang, {}, 'bone'],
  ['its skin, where the standard lets angles pass', hang, { angle: 90 }, 'skin'],
  ['a joint that is elsewhere', stretch, { angle: 90 }, 'place'],
  ['none, where all is within the limits', hang, { angle: 12.001, away: 90 }, null],
] as const)(
  'a page goes to the moment that the finding names: %s',
  async (_, change, limits, kind) => {
    const { finding, clips, joints } = await told(change, limits);
    const worst = worstMoment(clips, [...clips.keys()]);
    if (worst === null) throw new Error('a clip that shows a difference');
    expect(worst.isWorst).toBe(true);
    // Where all is within the limits, nothing is found, and the page still has a moment.
    expect(finding === undefined).toBe(kind === null);
    if (finding === undefined) return;
    expect([worst.kind, joints[worst.joint]?.name]).toEqual([kind, finding.place.name]);
    expect([worst.value, worst.limit]).toEqual([finding.measured, finding.limit]);
    expect(finding.unit).toBe(kind === 'bone' ? 'degrees' : '% of size');
    expect(finding.message).toContain(`"${clips[worst.clip]?.name}"`);
    expect(finding.message).toContain(` at ${significant(worst.seconds)} s `);
  },
);

it('each clip has a worst moment of its own, and one of them is that of all', async () => {
  const { clips, joints } = await told((puppet) => {
    hang(puppet);
    stretch(puppet);
  });
  expect(clips.map(({ worst }) => worst?.isWorst)).toContain(true);
  const [inWade, inFlap] = [worstMoment(clips, [0]), worstMoment(clips, [1])];
  expect(inWade).not.toEqual(inFlap);
  // What a clip poses itself is as it should be in that clip.
  expect(joints[inFlap?.joint ?? -1]?.name).not.toMatch(/^wing/);
});

it('two rigs that clips show alike have no such moment', async () => {
  const { clips } = await told(() => {});
  expect(clips.map(({ worst }) => worst)).toEqual([null, null]);
  expect(worstMoment(clips, [0, 1])).toBeNull();
});
