import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { compose, turnAbout, turned } from '../../../fixtures/kit/turns.js';
import { lengthOf, subtract, times, type Vec3 } from '../../../fixtures/kit/vectors.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings } from '../../../src/check/settings.js';
import type { ApprovedAsset } from '../../../src/rig/types.js';
import { approvedOf } from '../../support/check-built.js';
import { asGltf, permuted, randomFrom, storedIn } from '../../support/permuted.js';
import { turnBranch } from '../../support/turn-branch.js';

const fitting = ['missing', 'parent', 'frame', 'length', 'unit', 'extra'].map(
  (name) => `fit.${name}`,
);
const settings = defaultSettings(rules.filter(({ id }) => fitting.includes(id)));

/** A joint inside a limb or spine of each puppet, the two above it, and an end joint elsewhere. */
const CAST: Readonly<
  Record<CastName, { inner: string; parent: string; above: string; end: string }>
> = {
  heron: { inner: 'shin_L', parent: 'thigh_L', above: 'body', end: 'wing_tip_L' },
  mule: { inner: 'fore_cannon_L', parent: 'forearm_L', above: 'foreleg_L', end: 'tail_tip' },
  'stag-beetle': {
    inner: 'leg_fore_2_L',
    parent: 'leg_fore_1_L',
    above: 'thorax',
    end: 'mandible_tip_L',
  },
  caterpillar: { inner: 'ring_fore_3', parent: 'ring_fore_2', above: 'ring_fore_1', end: 'head' },
  marionette: { inner: 'forearm_L', parent: 'upper_arm_L', above: 'collarbone_L', end: 'head_tip' },
};

const approved = new Map<string, Promise<ApprovedAsset>>();

/** What is told of a puppet beside the sound one of the same name: level, rule, joint, measure. */
async function told(name: CastName, change: (puppet: Puppet) => void, options: BuildOptions = {}) {
  const puppet = raisePuppet(name, options);
  change(puppet);
  return toldOf(name, mainFile(buildPuppet(puppet, options)));
}

async function toldOf(name: CastName, bytes: Uint8Array) {
  const sound = approved.get(name) ?? approvedOf(mainFile(buildPuppet(raisePuppet(name))));
  approved.set(name, sound);
  const report = await checkAssetBytes(bytes, { settings, approved: await sound });
  expect(report.unreadable).toBeNull();
  expect(report.rigs.flatMap(({ measured }) => measured)).toHaveLength(fitting.length);
  return report.findings.map(({ level, rule, place, measured }) => [
    level,
    rule,
    place.name,
    Number(measured?.toPrecision(3)),
  ]);
}

function scaleWhole(puppet: Puppet, by: number): void {
  for (const joint of puppet.joints) joint.position = times(joint.position, by);
  for (const part of puppet.parts) part.positions = part.positions.map((at) => times(at, by));
}

describe.each(Object.entries(CAST))('%s', (key, { inner, parent, above, end }) => {
  // The keys of a record of all names.
  const name = key as CastName;

  test('a joint of another name', async () => {
    const found = await told(name, (puppet) => {
      puppet.joint(inner).label = 'lantern';
    });
    expect(found).toEqual([['error', 'fit.missing', 'lantern', 1]]);
  });

  test('a joint under another parent', async () => {
    const found = await told(name, (puppet) => {
      puppet.joint(inner).parent = above;
    });
    expect(found).toEqual([['error', 'fit.parent', inner, 1]]);
  });

  test.each([3, 30, 180])('a frame turned by %d degrees', async (degrees) => {
    const found = await told(name, (puppet) => puppet.turnFrame(inner, 'X', degrees));
    expect(found).toEqual([[degrees > 5 ? 'error' : 'warning', 'fit.frame', inner, degrees]]);
  });

  test('a limb bound in another pose', async () => {
    const found = await told(name, (puppet) => turnBranch(puppet, inner, [0, 0, 1], 25));
    expect(found).toEqual([['error', 'fit.frame', inner, 25]]);
  });

  test.each([-20, 10])('a bone longer by %d %%', async (percent) => {
    const found = await told(name, (puppet) => {
      const way = subtract(puppet.joint(inner).position, puppet.joint(parent).position);
      for (const each of puppet.below(inner)) puppet.moveJoint(each, times(way, percent / 100));
    });
    expect(found).toEqual([['warning', 'fit.length', inner, Math.abs(percent)]]);
  });

  test('a joint that stands elsewhere', async () => {
    const found = await told(name, (puppet) => {
      const bone = lengthOf(subtract(puppet.joint(inner).position, puppet.joint(parent).position));
      for (const each of puppet.below(inner)) puppet.moveJoint(each, [0, 0.3 * bone, 0]);
    });
    expect(found).toEqual([['warning', 'fit.length', inner, 30]]);
  });

  test.each([0.01, 2.54, 100])('another unit, %d times as large', async (times) => {
    const found = await told(name, (puppet) => scaleWhole(puppet, times));
    const measured = Number(Math.max(times, 1 / times).toPrecision(3));
    expect(found.map(([level, rule, , value]) => [level, rule, value])).toEqual([
      ['error', 'fit.unit', measured],
    ]);
  });

  test('a joint inside a limb that was taken out', async () => {
    const found = await told(name, (puppet) => {
      for (const child of puppet.childrenOf(inner)) child.parent = parent;
      puppet.joints.splice(puppet.joints.indexOf(puppet.joint(inner)), 1);
      for (const [at, clip] of puppet.clips.entries()) {
        const channels = clip.channels.filter(({ joint }) => joint !== inner);
        puppet.clips[at] = { ...clip, channels };
      }
      for (const part of puppet.parts)
        part.influences = part.influences.map((list) =>
          list.map(([joint, weight]) => [joint === inner ? parent : joint, weight]),
        );
    });
    expect(found).toEqual([['error', 'fit.missing', parent, 1]]);
  });

  test('a joint too many', async () => {
    const found = await told(name, (puppet) => {
      const { position, rotation } = puppet.joint(inner);
      puppet.joints.push({
        name: 'lantern',
        parent: end,
        position: [position[0], position[1] + 0.2, position[2]],
        rotation,
        scale: [1, 1, 1],
        weighted: false,
        listed: true,
      });
    });
    expect(found).toEqual([['note', 'fit.extra', 'lantern', 1]]);
  });

  test('a joint put between two others', async () => {
    const found = await told(name, (puppet) => {
      const { position, rotation } = puppet.joint(parent);
      puppet.joints.push({
        name: 'twist',
        parent,
        position,
        rotation,
        scale: [1, 1, 1],
        weighted: false,
        listed: true,
      });
      puppet.joint(inner).parent = 'twist';
    });
    expect(found).toEqual([['error', 'fit.parent', inner, 1]]);
  });

  test('a root of another name', async () => {
    const found = await told(name, (puppet) => {
      const root = puppet.joints.find((joint) => joint.parent === null);
      if (root !== undefined) root.label = 'lantern';
    });
    expect(found.map(([, rule, place, measured]) => [rule, place, measured])).toEqual([
      ['fit.missing', 'lantern', 1],
    ]);
  });

  test('a prefix on every name', async () => {
    const found = await told(name, (puppet) => {
      for (const joint of puppet.joints) joint.label = `theatre:${joint.name}`;
    });
    expect(found.map(([level, rule]) => [level, rule])).toEqual([['error', 'fit.missing']]);
  });

  test('larger by a fifth, turned and moved as a whole, it fits', async () => {
    const found = await told(name, (puppet) => {
      scaleWhole(puppet, 1.2);
      const turn = turnAbout([0, 1, 0], 70);
      const placed = (at: Vec3): Vec3 => {
        const [x, y, z] = turned(turn, at);
        return [x + 3, y, z - 1];
      };
      for (const joint of puppet.joints) {
        joint.position = placed(joint.position);
        joint.rotation = compose(turn, joint.rotation);
      }
      for (const part of puppet.parts) part.positions = part.positions.map(placed);
    });
    expect(found).toEqual([]);
  });

  test('under a holder that mirrors it, it fits', async () => {
    const found = await told(name, (puppet) => {
      puppet.edits.push((json) => {
        const [scene] = json.scenes;
        if (scene === undefined) return;
        json.nodes.push({ name: 'mirror', scale: [-1, 1, 1], children: scene.nodes });
        scene.nodes = [json.nodes.length - 1];
      });
    });
    expect(found).toEqual([]);
  });

  test('without clips and on another mesh, it fits', async () => {
    const found = await told(
      name,
      (puppet) => {
        puppet.clips.length = 0;
      },
      { flesh: 'connected', weights: 'u8', positions: 'quantised' },
    );
    expect(found).toEqual([]);
  });

  test('in another order and another container, it fits', async () => {
    const bytes = mainFile(buildPuppet(raisePuppet(name)));
    const random = randomFrom(7);
    expect(await toldOf(name, bytes)).toEqual([]);
    expect(await toldOf(name, asGltf(permuted(storedIn(bytes), random)))).toEqual([]);
  });
});

const sided = Object.entries(CAST).filter(([, { inner }]) => inner.endsWith('_L'));

test.each(sided)('%s: left and right that have exchanged their names', async (key, { inner }) => {
  // As above.
  const found = await told(key as CastName, (puppet) => {
    const other = inner.replace(/_L$/, '_R');
    puppet.joint(inner).label = other;
    puppet.joint(other).label = inner;
  });
  expect(found.map(([level, rule, , measured]) => [level, rule, measured])).toEqual([
    ['error', 'fit.missing', 2],
  ]);
});

test.each(Object.keys(CAST))(
  '%s: left and right that have exchanged all their names',
  async (key) => {
    let sided = 0;
    // As above.
    const found = await told(key as CastName, (puppet) => {
      for (const joint of puppet.joints) {
        joint.label = joint.name.replace(/_[LR]$/, (side) => (side === '_L' ? '_R' : '_L'));
        if (joint.label !== joint.name) sided++;
      }
    });
    expect(found.map(([, rule, , measured]) => [rule, measured])).toEqual([['fit.missing', sided]]);
  },
);
