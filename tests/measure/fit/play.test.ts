import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import { holderOf } from '../../../fixtures/kit/changes.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { compose, turnAbout, turned } from '../../../fixtures/kit/turns.js';
import { subtract, times } from '../../../fixtures/kit/vectors.js';
import { carriedClips } from '../../../src/measure/fit/clip-carry.js';
import { played } from '../../../src/measure/fit/play.js';
import { playTimes } from '../../../src/measure/fit/play-both.js';
import { changed, factsBeside, soundAsset } from '../../support/beside-approved.js';
import { approvedOf } from '../../support/check-built.js';

/** Degrees, and % of size: what float32 keys, places and matrices leave, with room. */
const ROUNDING = 1e-3;

interface Shown {
  readonly bone: number;
  readonly place: number;
  readonly skin: number;
}

/** What clips show otherwise at each joint, by its name. */
async function shown(
  cast: Parameters<typeof soundAsset>[0],
  bytes: Uint8Array,
  ...library: Uint8Array[]
): Promise<Map<string, Shown>> {
  const facts = await factsBeside(bytes, await soundAsset(cast, ...library));
  const { list = [] } = played(facts) ?? {};
  return new Map(
    list.map(({ joint, bone, place, skin }) => [
      facts.rig.joints.names[joint] ?? '',
      { bone: bone?.value ?? 0, place: place?.value ?? 0, skin: skin?.value ?? 0 },
    ]),
  );
}

function most(all: ReadonlyMap<string, Shown>): Shown {
  const list = [...all.values()];
  const of = (kind: keyof Shown): number => Math.max(...list.map((entry) => entry[kind]));
  return { bone: of('bone'), place: of('place'), skin: of('skin') };
}

function expectNothing(all: ReadonlyMap<string, Shown>): void {
  expect(all.size).toBeGreaterThan(10);
  const { bone, place, skin } = most(all);
  expect(Math.max(bone, place, skin)).toBeLessThan(ROUNDING);
}

/** Stores the node that all joints hang on in another way, and changes nothing below it. */
function turnStage(puppet: Puppet, scale: number): void {
  puppet.edits.push((json) => {
    const stage = json.nodes.find(({ name }) => name === 'stage');
    if (stage === undefined) throw new Error('no stage');
    stage.rotation = [...turnAbout([0.2, 1, 0.3], 70)];
    stage.scale = [scale, scale, scale];
    stage.translation = [2, 1, -4];
  });
}

/** Keys the turn of the body, as it is. */
function keyRoot(puppet: Puppet): void {
  puppet.clip('wade').channels.push({
    joint: 'body',
    path: 'rotation',
    interpolation: 'LINEAR',
    times: [0, 1],
    axis: [0, 1, 0],
    degrees: [0, 0],
  });
}

/** Builds joints and skin anew, turned whole about the vertical. */
function faceElsewhere(puppet: Puppet): void {
  const turn = turnAbout([0, 1, 0], 70);
  for (const joint of puppet.joints) {
    joint.position = turned(turn, joint.position);
    joint.rotation = compose(turn, joint.rotation);
  }
  for (const part of puppet.parts) part.positions = part.positions.map((at) => turned(turn, at));
}

describe('clips show the same', () => {
  test.each(castNames)('on the %s itself', async (cast) => {
    expectNothing(await shown(cast, buildGlb(cast)));
  });

  test.each(castNames)('on a %s of other flesh that is a fifth taller', async (cast) => {
    expectNothing(await shown(cast, buildGlb(cast, { unitScale: 1.2, flesh: 'connected' })));
  });

  test('on a rig that the node above it makes larger, turns and moves', async () => {
    expectNothing(
      await shown(
        'heron',
        changed('heron', (puppet) => turnStage(puppet, 1.7)),
      ),
    );
  });

  test('on a rig in a mirror', async () => {
    const bytes = changed('heron', (puppet) => {
      puppet.edits.push((json) => {
        const stage = json.nodes.find(({ name }) => name === 'stage');
        if (stage === undefined) throw new Error('no stage');
        stage.scale = [-1, 1, 1];
      });
    });
    expectNothing(await shown('heron', bytes));
  });

  test('on a rig that was built facing elsewhere, while no clip poses its root', async () => {
    expectNothing(await shown('caterpillar', changed('caterpillar', faceElsewhere)));
  });

  test('on a rig that was built facing elsewhere, where the clip turns it to the front', async () => {
    const keyed = changed('heron', keyRoot);
    const facts = await factsBeside(
      changed('heron', faceElsewhere),
      await approvedOf(keyed, 'keyed.glb'),
    );
    const { list = [] } = played(facts) ?? {};
    const worst = list.map(({ bone, place, skin }) =>
      Math.max(bone?.value ?? 0, place?.value ?? 0, skin?.value ?? 0),
    );
    expect(worst.length).toBeGreaterThan(10);
    expect(Math.max(...worst)).toBeLessThan(ROUNDING);
  });

  test('on a rig stored with integers and other clips of its own', async () => {
    const bytes = changed('marionette', (puppet) => puppet.clips.splice(0), {
      positions: 'quantised',
    });
    expectNothing(await shown('marionette', bytes));
  });
});

describe('clips show otherwise', () => {
  test('by the angle that the frame of a joint is turned by, whatever they key', async () => {
    const bytes = changed('heron', (puppet) => puppet.turnFrame('neck_low', 'side', 17));
    const all = await shown('heron', bytes);
    expect(all.get('neck_bend')?.bone).toBeCloseTo(17, 3);
    expect(all.get('neck_low')?.bone).toBeLessThan(ROUNDING);
  });

  test('by what a longer bone moves its end, and nothing else', async () => {
    let [added, size] = [0, 0];
    const bytes = changed('heron', (puppet) => {
      const [head, tip] = [puppet.joint('head').position, puppet.joint('beak_tip').position];
      added = 0.3 * puppet.boneLength('head');
      size = puppet.size();
      puppet.moveJoint('beak_tip', times(subtract(tip, head), 0.3));
    });
    const all = await shown('heron', bytes);
    expect(all.get('beak_tip')?.place).toBeCloseTo((100 * added) / size, 3);
    all.delete('beak_tip');
    expectNothing(all);
  });

  test('by the pose that a joint is stored in where no clip poses it', async () => {
    const bytes = changed('heron', (puppet) => puppet.pose('wing_2_L', 'side', 9));
    const all = await shown('heron', bytes);
    expect(all.get('wing_3_L')?.bone).toBeCloseTo(9, 3);
    // Where a clip does pose it, it is set back.
    const posed = changed('heron', (puppet) => puppet.pose('neck_low', 'side', 9));
    expectNothing(await shown('heron', posed));
  });

  test('where the root joint undoes what the node above it turns: the rig falls over', async () => {
    const keyed = changed('heron', keyRoot);
    const bytes = changed('heron', (puppet) => {
      holderOf(puppet).turn = turnAbout([1, 0, 0], -90);
    });
    const all = await shown('heron', bytes, keyed);
    expect(most(all).bone).toBeCloseTo(90, 3);
  });

  test('where moves are in another unit than the rig', async () => {
    // Of the size of the approved rig, but stored in centimetres under a node that scales them.
    const bytes = changed('heron', (puppet) => {
      holderOf(puppet).scale = [0.01, 0.01, 0.01];
    });
    const all = await shown('heron', bytes);
    // The way of 0.2 m that the body wades becomes 2 mm.
    const facts = await factsBeside(bytes, await soundAsset('heron'));
    const size = 100 * (0.198 / (await sizeOfHeron()));
    expect(facts.rig.joints.count).toBe(all.size);
    expect(all.get('body')?.place).toBeCloseTo(size, 2);
  });

  test('on the skin alone where an end joint is rolled', async () => {
    const bytes = changed('heron', (puppet) => puppet.turnFrame('toe_L', 'aim', 90));
    const library = changed('heron', (puppet) => {
      puppet.clip('wade').channels.push({
        joint: 'toe_L',
        path: 'rotation',
        interpolation: 'LINEAR',
        times: [0, 1],
        axis: [1, 0, 0],
        degrees: [0, 5],
      });
    });
    const all = await shown('heron', bytes, library);
    const { bone, place } = most(all);
    expect(Math.max(bone, place)).toBeLessThan(ROUNDING);
    expect(all.get('toe_L')?.skin).toBeGreaterThan(0.4);
  });
});

async function sizeOfHeron(): Promise<number> {
  let size = 0;
  changed('heron', (puppet) => {
    size = puppet.size();
  });
  return size;
}

describe('a clip', () => {
  test('of many keys is looked at 200 times, from its first key to its last', async () => {
    const library = changed('heron', (puppet) => {
      const { channels } = puppet.clip('wade');
      channels.splice(0, channels.length, {
        joint: 'shin_L',
        path: 'rotation',
        interpolation: 'LINEAR',
        times: Array.from({ length: 1000 }, (_, key) => key / 100),
        axis: [1, 0, 0],
        degrees: Array.from({ length: 1000 }, () => 0),
      });
    });
    const facts = await factsBeside(buildGlb('heron'), await soundAsset('heron', library));
    const clip = carriedClips(facts).at(-1);
    if (clip === undefined) throw new Error('no clip is carried');
    expect(clip.source).toBe('library-1.glb');
    const looked = playTimes(clip, 200);
    expect(looked).toHaveLength(200);
    expect(new Set(looked).size).toBe(200);
    expect([looked[0], looked[199]]).toEqual([0, Math.fround(9.99)]);
  });

  test('of one key poses both rigs by it', async () => {
    const library = changed('heron', (puppet) => {
      const { channels } = puppet.clip('wade');
      channels.splice(0, channels.length, {
        joint: 'wing_2_L',
        path: 'rotation',
        interpolation: 'STEP',
        times: [0.5],
        axis: [1, 0, 0],
        degrees: [30],
      });
    });
    const bytes = changed('heron', (puppet) => puppet.turnFrame('wing_2_L', 'side', 11));
    const all = await shown('heron', bytes, library);
    expect(all.get('wing_3_L')?.bone).toBeCloseTo(11, 3);
  });

  test('that poses nothing of the rig is not carried', async () => {
    const asset = await soundAsset('heron');
    const facts = await factsBeside(buildGlb('caterpillar'), asset);
    expect(carriedClips(facts)).toEqual([]);
  });
});
