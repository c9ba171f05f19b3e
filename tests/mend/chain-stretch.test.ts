// Sources: three.js (npm `three`) for where joints stand in clips, see `three-scene.ts`; that of all places at
// one distance from a point the nearest lies on the line to it: Euclid, Elements, III.8.
import { AnimationMixer, type Object3D, Vector3 } from 'three';
import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { type Interpolation, travel } from '../../fixtures/kit/clips.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { subtract, times } from '../../fixtures/kit/vectors.js';
import { situations } from '../../fixtures/situations/index.js';
import { LARGEST_SHIFT } from '../../src/mend/proof/proof-limits.js';
import { chainStretch } from '../../src/mend/repairs/chain-stretch.js';
import { splitGlb } from '../fixtures/read-back.js';
import { loadInThree } from '../support/three-scene.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { runRepair } from './run-repair.js';

const ASKED = { resample: true, allow: new Set(['chain.stretch']) };
/** What three.js may differ by. Metres, on figures of some metres. */
const SAME = 1e-5;
/** How far a curve may be off the rest length. Share of the bone. */
const LOOSE = 0.0011;

function heron(change: (puppet: Puppet) => void): Uint8Array {
  const puppet = raisePuppet('heron');
  change(puppet);
  return mainFile(buildPuppet(puppet));
}

/** A clip that moves a neck joint along its bone and to the side of it. */
function pulled(interpolation: Interpolation): Uint8Array {
  return heron((puppet) => {
    const along = subtract(puppet.joint('neck_mid').position, puppet.joint('neck_bend').position);
    const moves = [0, 0.3, -0.2, 0.1].map((share) => {
      const [x, y, z] = times(along, share);
      return [x + share / 20, y, z] as const;
    });
    puppet.clip().channels.push({ ...travel('neck_mid', moves), interpolation });
  });
}

/** Places of a joint as its parent sees it, at 41 times of all clips; three.js plays them. */
async function placesOf(bytes: Uint8Array, joint: string): Promise<Vector3[]> {
  const { nodes, clips } = await loadInThree(bytes);
  const found = [...nodes.values()].find(({ name }) => name === joint);
  let top: Object3D | undefined = found;
  while (top?.parent != null) top = top.parent;
  if (found === undefined || top === undefined) throw new Error(`no ${joint}`);
  const rest = found.position.clone();
  const places = [rest];
  for (const clip of clips) {
    const mixer = new AnimationMixer(top);
    mixer.clipAction(clip).play();
    for (let step = 0; step <= 40; step++) {
      mixer.setTime((step / 40) * clip.duration * 0.9999);
      places.push(found.position.clone());
    }
    mixer.stopAllAction();
  }
  return places;
}

test('a bone that is only pulled along itself rests again, and its keys are gone', async () => {
  const fault = faultNamed('stretching-neck');
  const puppet = raisePuppet('heron');
  fault.apply(puppet, fault.failing);
  const bytes = mainFile(buildPuppet(puppet));
  const unasked = await applyRepair(bytes, chainStretch);
  expect(unasked.changes).toEqual([]);
  expect(unasked.left.map(({ why }) => why)).toEqual([
    expect.stringMatching(
      /^its rest length would move the joint by \d\.\d+ % of size, .* --resample and --allow-change chain\.stretch$/,
    ),
  ]);
  expect(Buffer.compare(unasked.bytes, bytes)).toBe(0);
  const mended = await applyRepair(bytes, chainStretch, ASKED);
  expect(mended.changes.map(({ after }) => after)).toEqual([
    expect.stringMatching(/^bone at its rest length, .* translation keys taken off in 1 clip; /),
  ]);
  expect(await findingsOf(mended.bytes)).toEqual([]);
  const [rest = new Vector3(), ...places] = await placesOf(mended.bytes, 'neck_mid');
  expect(Math.max(...places.map((place) => place.distanceTo(rest)))).toBeLessThan(SAME);
  // Nothing is left of the keys, and the figure that is told is what the vertices that follow move by.
  const { json } = splitGlb(mended.bytes);
  const node = json.nodes.findIndex(({ name }) => name === 'neck_mid');
  const channels = json.animations?.flatMap((clip) => clip.channels) ?? [];
  expect(
    channels.filter(({ target }) => target.node === node && target.path !== 'rotation'),
  ).toEqual([]);
  const told = /moves by (\S+) % of size/.exec(mended.changes[0]?.after ?? '')?.[1];
  expect(Number(told) / 100).toBeCloseTo(mended.shift, 3);
  const twice = await applyRepair(mended.bytes, chainStretch, ASKED);
  expect([twice.changes, Buffer.compare(twice.bytes, mended.bytes)]).toEqual([[], 0]);
});

test.each(['LINEAR', 'STEP', 'CUBICSPLINE'] as const)(
  'a joint that %s keys also move to the side goes to the nearest place at its rest length',
  async (interpolation) => {
    const bytes = pulled(interpolation);
    const mended = await applyRepair(bytes, chainStretch, ASKED);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(mended.changes[0]?.after).toMatch(/keyed anew in 1 clip/);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    const [before, after] = [
      await placesOf(bytes, 'neck_mid'),
      await placesOf(mended.bytes, 'neck_mid'),
    ];
    const length = before[0]?.length() ?? 0;
    const off = after.map((place) => Math.abs(place.length() / length - 1));
    expect(Math.max(...off)).toBeLessThan(LOOSE);
    const nearest = before.map((place) => place.clone().setLength(length));
    const missed = after.map((place, at) => place.distanceTo(nearest[at] ?? place) / length);
    // Between two keys a straight line runs beside the arc, by what its bend allows.
    expect(Math.max(...missed)).toBeLessThan(interpolation === 'LINEAR' ? 0.03 : 2 * LOOSE);
    expect(
      Math.max(...before.map((place, at) => place.distanceTo(after[at] ?? place))),
    ).toBeGreaterThan(0.1 * length);
  },
);

test.each(
  situations.filter(({ expected }) => expected.some(({ told }) => /chain\.stretch/.test(told))),
)('$name is mended', async ({ raise, options = {} }) => {
  const bytes = mainFile(buildPuppet(raise(options)));
  expect((await findingsOf(bytes)).join()).toMatch(/chain\.stretch/);
  const mended = await applyRepair(bytes, chainStretch, ASKED);
  expect((await findingsOf(mended.bytes)).join()).not.toMatch(/chain\.stretch/);
});

test('a clip that keys nothing else goes on keying the rest place', async () => {
  const bytes = heron((puppet) => {
    const way = subtract(puppet.joint('neck_mid').position, puppet.joint('neck_bend').position);
    const { channels } = puppet.clip();
    channels.length = 0;
    channels.push(travel('neck_mid', [[0, 0, 0], times(way, 0.2)]));
  });
  const mended = await applyRepair(bytes, chainStretch, ASKED);
  const { json } = splitGlb(mended.bytes);
  expect(
    json.animations?.map(({ channels, samplers }) => [channels.length, samplers.length]),
  ).toEqual([[1, 1]]);
  const [rest = new Vector3(), ...places] = await placesOf(mended.bytes, 'neck_mid');
  expect(places.length).toBeGreaterThan(0);
  expect(Math.max(...places.map((place) => place.distanceTo(rest)))).toBeLessThan(SAME);
});

test('what nobody sees is mended unasked', async () => {
  const bytes = heron((puppet) => {
    const way = subtract(puppet.joint('neck_mid').position, puppet.joint('neck_bend').position);
    puppet.clip().channels.push(travel('neck_mid', [[0, 0, 0], times(way, 0.00012)]));
  });
  const limits = new Map([['chain.stretch', { stretch: 0.01 }]]);
  const { found, remaining, changes, moved } = await runRepair(chainStretch, bytes, { limits });
  expect([found, remaining, changes.length]).toEqual([['chain.stretch'], [], 1]);
  expect(moved).toBeGreaterThan(0);
  expect(moved).toBeLessThanOrEqual(LARGEST_SHIFT);
});
