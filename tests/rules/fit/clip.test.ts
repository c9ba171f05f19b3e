import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { insertOnBone } from '../../../fixtures/kit/changes.js';
import type { Channel } from '../../../fixtures/kit/clips.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { AssetReport } from '../../../src/report/report-types.js';
import { changed, checkBeside, soundAsset } from '../../support/beside-approved.js';
import { approvedOf } from '../../support/check-built.js';

function toldBy({ findings }: AssetReport, rule = 'fit.clip') {
  return findings.filter((finding) => finding.rule === rule);
}

/** A heron without its skin: clips and the nodes that they pose. */
function clipsAlone(change: (puppet: Puppet) => void = () => {}): Uint8Array {
  return changed('heron', (puppet) => {
    puppet.skinned = false;
    change(puppet);
  });
}

function still(joint: string, degrees: readonly number[]): Channel {
  const times = degrees.map((_, key) => key);
  return { joint, path: 'rotation', interpolation: 'LINEAR', times, axis: [1, 0, 0], degrees };
}

describe('a file of clips alone', () => {
  test('fits the rig that it was made for', async () => {
    const report = await checkBeside(clipsAlone(), await soundAsset('heron'));
    expect(toldBy(report)).toEqual([]);
  });

  test('is told how many channels find nothing, of how many, in which clips', async () => {
    const bytes = clipsAlone((puppet) => {
      puppet.joint('shin_L').label = 'calf_L';
      puppet.joint('thigh_R').label = 'haunch_R';
      puppet.clips.push({ name: 'kick', channels: [still('shin_L', [0, 40])] });
      puppet.clips.push({ name: 'nod', channels: [still('neck_low', [0, 20])] });
    });
    const [told, ...more] = toldBy(await checkBeside(bytes, await soundAsset('heron')));
    expect(more).toEqual([]);
    expect(told).toMatchObject({
      level: 'error',
      place: { kind: 'asset' },
      measured: 3,
      limit: 0,
      unit: 'channels',
      counts: { looked: 7, short: 3 },
    });
    expect(told?.message).toBe(
      '3 of 7 channels (none is allowed) of the clips "wade", "kick" pose nodes that the approved rig does not have: "haunch_R", "calf_L".',
    );
  });

  test('is told what stands before all names', async () => {
    const bytes = clipsAlone((puppet) => {
      for (const joint of puppet.joints) joint.label = `theatre:${joint.name}`;
    });
    const [told] = toldBy(await checkBeside(bytes, await soundAsset('heron')));
    expect(told?.counts).toEqual({ looked: 5, short: 5 });
    expect(told?.message).toContain(
      'The clips have "theatre:" before all these names; without it they would be found.',
    );
    // The other way round, the rig has it.
    const prefixed = changed('heron', (puppet) => {
      for (const joint of puppet.joints) joint.label = `theatre:${joint.name}`;
    });
    const [other] = toldBy(await checkBeside(clipsAlone(), await approvedOf(prefixed)));
    expect(other?.message).toContain('The rig has "theatre:" before all these names');
  });

  test('is told where the paths begin when nothing is found', async () => {
    const bytes = clipsAlone();
    const [told] = toldBy(await checkBeside(bytes, await soundAsset('caterpillar')));
    expect(told?.counts).toEqual({ looked: 5, short: 5 });
    expect(told?.message).toContain(
      'The paths in the clips begin with "stage", those of the rig with "saddle": the clips may be made for another skeleton.',
    );
  });

  test('may pose a camera that stands apart from the skeleton', async () => {
    const withCamera = (puppet: Puppet): void => {
      puppet.clip('wade').channels.push(still('neck_mid', [0, 10]));
      puppet.edits.push((json) => {
        const [clip] = json.animations ?? [];
        const channel = clip?.channels.at(-1);
        if (channel === undefined) throw new Error('no channel');
        json.nodes.push({ name: 'camera' });
        json.scenes[0]?.nodes.push(json.nodes.length - 1);
        channel.target.node = json.nodes.length - 1;
      });
    };
    const told = toldBy(await checkBeside(clipsAlone(withCamera), await soundAsset('heron')));
    expect(told).toEqual([]);
    // Where no name is found at all, nothing tells a camera from a joint.
    const [lost] = toldBy(
      await checkBeside(clipsAlone(withCamera), await soundAsset('caterpillar')),
    );
    expect(lost?.counts).toEqual({ looked: 6, short: 6 });
  });

  test('with no clip has nothing to be judged', async () => {
    const bytes = clipsAlone((puppet) => puppet.clips.splice(0));
    expect(toldBy(await checkBeside(bytes, await soundAsset('heron')))).toEqual([]);
  });
});

describe('the clips of an approved rig', () => {
  /** The approved heron, with a node in its neck that no skin lists and that a clip poses. */
  async function withSpacer(degrees: readonly number[]) {
    const bytes = changed('heron', (puppet) => {
      insertOnBone(puppet, 'collar', 'neck_low', 'neck_bend', 0.02, false);
      puppet.clip('wade').channels.push(still('collar', degrees));
    });
    return { bytes, asset: await approvedOf(bytes) };
  }

  test('are told where they pose a node between joints that a rig lacks', async () => {
    const { bytes, asset } = await withSpacer([0, 25]);
    expect(toldBy(await checkBeside(bytes, asset))).toEqual([]);
    const [told, ...more] = toldBy(await checkBeside(buildGlb('heron'), asset));
    expect(more).toEqual([]);
    expect(told).toMatchObject({
      place: { kind: 'rig' },
      measured: 1,
      counts: { looked: 6, short: 1 },
    });
    expect(told?.message).toBe(
      '1 of 6 channels (none is allowed) of the clip "wade" poses a node that this rig does not have: "collar".',
    );
  });

  test('may leave such a node as it is stored', async () => {
    const { asset } = await withSpacer([0, 0]);
    expect(toldBy(await checkBeside(buildGlb('heron'), asset))).toEqual([]);
  });

  test('leave it to one rule to tell of a joint that is not there by its name', async () => {
    const bytes = changed('heron', (puppet) => {
      puppet.joint('shin_L').label = 'calf_L';
    });
    const report = await checkBeside(bytes, await soundAsset('heron'));
    expect(report.findings.map(({ rule }) => rule)).toEqual(['fit.missing']);
  });
});
