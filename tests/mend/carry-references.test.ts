// Sources: VRM 0.x (`specification/0.0/README.md`: nodes by index, materials by name), VRMC_vrm, VRMC_springBone and
// VRMC_node_constraint 1.0 of vrm-c/vrm-specification for which of their members hold nodes.
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { references } from '../../src/mend/joints/joint-references.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { splitGlb } from '../fixtures/read-back.js';
import { tempFolder } from '../support/temp-folder.js';
import { applyRepair } from './apply-repair.js';
import { at, extend, extended } from './carried.js';
import { dressed } from './dressed.js';

describe('what known extensions say of nodes', () => {
  const constraint = { constraint: { roll: { source: 31, rollAxis: 'X', weight: 1 } } };
  const json = {
    nodes: [{ name: 'wick', extensions: { VRMC_node_constraint: constraint } }],
    extensions: {
      VRMC_vrm: {
        specVersion: '1.0',
        meta: { name: 'lamp' },
        humanoid: { humanBones: { hips: { node: 11 } } },
        firstPerson: { meshAnnotations: [{ node: 12, type: 'auto' }] },
        extras: { note: 'rope' },
      },
      VRMC_springBone: {
        colliders: [
          {
            node: 13,
            shape: { sphere: { radius: 90, offset: [91, 92, 93] } },
            extensions: { VRMC_other: { hook: 77, named: 'ring' } },
          },
        ],
        colliderGroups: [{ name: 'lamp', colliders: [94] }],
        springs: [{ center: 14, joints: [{ node: 15, hitRadius: 95 }] }],
      },
      VRM: {
        humanoid: { humanBones: [{ bone: 'hips', node: 21 }] },
        firstPerson: { firstPersonBone: 22 },
        secondaryAnimation: { boneGroups: [{ bones: [23, 24], center: 25 }] },
        blendShapeMaster: { blendShapeGroups: [{ binds: [{ mesh: 96, index: 97 }] }] },
      },
      EXT_unknown: { thing: 98, word: 'lantern' },
    },
  };

  test('are their nodes, and no other number or word; what is unknown may mean anything', () => {
    const { numbers, words } = references(json);
    expect([...numbers].sort((a, b) => a - b)).toEqual([
      0, 11, 12, 13, 14, 15, 21, 22, 23, 24, 25, 31, 77, 98,
    ]);
    expect([...words].sort()).toEqual(['lantern', 'ring', 'rope']);
  });
});

test('a joint with the name of a bone of VRM 0.x can be renamed', async () => {
  const bytes = dressed(
    'marionette',
    () => undefined,
    (dresser) => {
      dresser.node('spine_low').name = 'spine';
      dresser.node('spine_mid').name = 'spine';
    },
    { vrm: '0.x' },
  );
  expect(JSON.stringify(at(splitGlb(bytes).json, 'extensions', 'VRM'))).toContain('"spine"');
  const mended = await applyRepair(bytes, jointNames);
  expect(mended.left).toEqual([]);
  expect(mended.changes.map(({ before, after }) => [before, after])).toEqual([
    ['"spine"', '"spine_2"'],
  ]);
  expect(at(splitGlb(mended.bytes).json, 'extensions')).toEqual(
    at(splitGlb(bytes).json, 'extensions'),
  );
});

test('a whole mend goes through a file with all of them, and changes of them what it must', async () => {
  const bytes = extended(
    'heron',
    (dresser) => {
      const [shin, thigh] = [dresser.named('shin_L'), dresser.named('thigh_R')];
      const sphere = { sphere: { offset: [0.1, 0.2, 0.3], radius: 0.5 } };
      extend(dresser, {
        VRMC_vrm: {
          specVersion: '1.0',
          meta: { name: 'heron' },
          humanoid: { humanBones: { hips: { node: dresser.named('body') } } },
        },
        VRMC_springBone: {
          specVersion: '1.0',
          colliders: [
            { node: shin, shape: sphere },
            { node: thigh, shape: sphere },
          ],
        },
      });
      dresser.node('shin_L').extensions = {
        VRMC_node_constraint: {
          specVersion: '1.0',
          constraint: { aim: { source: thigh, aimAxis: 'PositiveZ', weight: 1 } },
        },
      };
      dresser.json.extensionsUsed = ['VRMC_vrm', 'VRMC_springBone', 'VRMC_node_constraint'];
    },
    { faults: [faultNamed('flipped-shin')] },
  );
  const path = join(tempFolder({ 'heron.glb': bytes }), 'heron.glb');
  const mended = await mendAsset(path, defaultSettings(rules), [turnedFrames, scaleUnit]);
  expect([mended.offending, mended.left, mended.changes.length]).toEqual([null, [], 1]);
  expect(mended.after.findings).toEqual([]);
  const [before, after] = [bytes, mended.files.main].map((file) => splitGlb(file).json);
  // Half a turn about Y: X and Z change sign.
  const collider = ['extensions', 'VRMC_springBone', 'colliders', 0, 'shape', 'sphere'] as const;
  const offset = at(after, ...collider, 'offset') as number[];
  [-0.1, 0.2, -0.3].forEach((value, i) => {
    expect(offset[i]).toBeCloseTo(value, 5);
  });
  const aim = (json: unknown): unknown =>
    at(json, 'nodes', shinOf(json), 'extensions', 'VRMC_node_constraint', 'constraint', 'aim');
  expect(aim(after)).toEqual({ ...(aim(before) as object), aimAxis: 'NegativeZ' });
  Object.assign(at(after, ...collider) as object, { offset: [0.1, 0.2, 0.3] });
  expect(at(after, 'extensions')).toEqual(at(before, 'extensions'));
});

function shinOf(json: unknown): number {
  return (at(json, 'nodes') as { name?: string }[]).findIndex(({ name }) => name === 'shin_L');
}
