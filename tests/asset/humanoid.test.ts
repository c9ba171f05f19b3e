// Source: the VRM specification (vrm-c/vrm-specification), an open standard.
// VRM 1.0: specification/VRMC_vrm-1.0/humanoid.md, "List of humanoid bones".
// VRM 0.x: specification/0.0/README.md, "VRM extension: Model's bone mapping", with its JSON Schema.
import { describe, expect, test } from 'vitest';
import type { GltfHumanoid } from '../../src/asset/gltf-types.js';
import { HUMAN_BONES } from '../../src/asset/human-bones.js';
import { memberOf } from '../../src/asset/narrow.js';
import { parseDocument } from '../../src/asset/parse-document.js';

/** The tables Torso, Head, Leg, Arm and Finger of humanoid.md, in their order. */
const BONES_OF_1_0 = `
  hips spine chest upperChest neck
  head leftEye rightEye jaw
  leftUpperLeg leftLowerLeg leftFoot leftToes rightUpperLeg rightLowerLeg rightFoot rightToes
  leftShoulder leftUpperArm leftLowerArm leftHand
  rightShoulder rightUpperArm rightLowerArm rightHand
  leftThumbMetacarpal leftThumbProximal leftThumbDistal
  leftIndexProximal leftIndexIntermediate leftIndexDistal
  leftMiddleProximal leftMiddleIntermediate leftMiddleDistal
  leftRingProximal leftRingIntermediate leftRingDistal
  leftLittleProximal leftLittleIntermediate leftLittleDistal
  rightThumbMetacarpal rightThumbProximal rightThumbDistal
  rightIndexProximal rightIndexIntermediate rightIndexDistal
  rightMiddleProximal rightMiddleIntermediate rightMiddleDistal
  rightRingProximal rightRingIntermediate rightRingDistal
  rightLittleProximal rightLittleIntermediate rightLittleDistal
`;

/** The enum of `bone` in the schema vrm.humanoid.bone, in its order. */
const BONES_OF_0_X = `
  hips leftUpperLeg rightUpperLeg leftLowerLeg rightLowerLeg leftFoot rightFoot spine chest neck head
  leftShoulder rightShoulder leftUpperArm rightUpperArm leftLowerArm rightLowerArm leftHand rightHand
  leftToes rightToes leftEye rightEye jaw leftThumbProximal leftThumbIntermediate leftThumbDistal
  leftIndexProximal leftIndexIntermediate leftIndexDistal leftMiddleProximal leftMiddleIntermediate
  leftMiddleDistal leftRingProximal leftRingIntermediate leftRingDistal leftLittleProximal
  leftLittleIntermediate leftLittleDistal rightThumbProximal rightThumbIntermediate rightThumbDistal
  rightIndexProximal rightIndexIntermediate rightIndexDistal rightMiddleProximal
  rightMiddleIntermediate rightMiddleDistal rightRingProximal rightRingIntermediate rightRingDistal
  rightLittleProximal rightLittleIntermediate rightLittleDistal upperChest
`;

const words = (text: string): string[] => text.trim().split(/\s+/);

/** Nodes of the asset that every test reads. */
const NODES = 60;

/** Reads an asset whose JSON holds these extensions, given as text so that any key can stand in it. */
function read(extensions: string): GltfHumanoid | null {
  const nodes = JSON.stringify(Array.from({ length: NODES }, () => ({})));
  const text = `{"asset":{"version":"2.0"},"nodes":${nodes},"extensions":${extensions}}`;
  return parseDocument(JSON.parse(text)).humanoid;
}

const asNew = (humanBones: string): string =>
  `{"VRMC_vrm":{"humanoid":{"humanBones":${humanBones}}}}`;
const asOld = (humanBones: string): string => `{"VRM":{"humanoid":{"humanBones":${humanBones}}}}`;

/** The mapping as an object; null for none. */
function nodes(extensions: string): Record<string, number> | null {
  const found = read(extensions);
  return found === null ? null : Object.fromEntries(found.nodes);
}

describe('the bones known', () => {
  test('are those of the tables of VRM 1.0', () => {
    expect([...HUMAN_BONES['1.0']].sort()).toEqual(words(BONES_OF_1_0).sort());
  });

  test('are those of the schema of VRM 0.x', () => {
    expect([...HUMAN_BONES['0.x']].sort()).toEqual(words(BONES_OF_0_X).sort());
  });
});

describe('a mapping', () => {
  test('of VRM 1.0 is read, every bone of it', () => {
    const entries = words(BONES_OF_1_0).map((bone, node) => [bone, { node }]);
    const found = read(asNew(JSON.stringify(Object.fromEntries(entries))));
    expect(found?.version).toBe('1.0');
    expect(Object.fromEntries(found?.nodes ?? [])).toEqual(
      Object.fromEntries(words(BONES_OF_1_0).map((bone, node) => [bone, node])),
    );
  });

  test('of VRM 0.x is read, every bone of it, whatever else stands beside', () => {
    const entries = words(BONES_OF_0_X).map((bone, node) => ({
      bone,
      node,
      useDefaultValues: true,
      min: 'nonsense',
    }));
    const found = read(asOld(JSON.stringify(entries)));
    expect(found?.version).toBe('0.x');
    expect(Object.fromEntries(found?.nodes ?? [])).toEqual(
      Object.fromEntries(words(BONES_OF_0_X).map((bone, node) => [bone, node])),
    );
  });

  test('of both versions is read from the newer', () => {
    const both = `{"VRM":{"humanoid":{"humanBones":[{"bone":"hips","node":1}]}},
      "VRMC_vrm":{"humanoid":{"humanBones":{"hips":{"node":2}}}}}`;
    expect(read(both)).toEqual({ version: '1.0', nodes: new Map([['hips', 2]]) });
  });

  test('of both versions is read from the older when the newer names nothing', () => {
    const both = `{"VRM":{"humanoid":{"humanBones":[{"bone":"hips","node":1}]}},
      "VRMC_vrm":{"humanoid":{"humanBones":{"hips":{"node":-2}}}}}`;
    expect(read(both)).toEqual({ version: '0.x', nodes: new Map([['hips', 1]]) });
  });

  test('is none where the asset has no such extension', () => {
    expect(read('{}')).toBeNull();
    expect(parseDocument({ asset: { version: '2.0' } }).humanoid).toBeNull();
  });

  test('of a thumb is held to the names of its own version', () => {
    const thumb = ['leftThumbMetacarpal', 'leftThumbProximal', 'leftThumbIntermediate'];
    const named = Object.fromEntries(thumb.map((bone, node) => [bone, { node }]));
    const listed = thumb.map((bone, node) => ({ bone, node }));
    expect(nodes(asNew(JSON.stringify(named)))).toEqual({
      leftThumbMetacarpal: 0,
      leftThumbProximal: 1,
    });
    expect(nodes(asOld(JSON.stringify(listed)))).toEqual({
      leftThumbProximal: 1,
      leftThumbIntermediate: 2,
    });
  });
});

const NO_NODE = ['-1', String(NODES), '1.5', '1e300', '"3"', 'null', 'true', '[3]', '{"node":3}'];

describe('an entry that cannot be read is passed over', () => {
  test.each(NO_NODE)('when its node is %s', (node) => {
    expect(nodes(asNew(`{"hips":{"node":${node}},"spine":{"node":4}}`))).toEqual({ spine: 4 });
    const list = `[{"bone":"hips","node":${node}},{"bone":"spine","node":4}]`;
    expect(nodes(asOld(list))).toEqual({ spine: 4 });
  });

  test.each(['null', '7', '"hips"', '[]', '[{"node":3}]', '{}'])('when it is %s', (entry) => {
    expect(nodes(asNew(`{"hips":${entry},"spine":{"node":4}}`))).toEqual({ spine: 4 });
    expect(nodes(asOld(`[${entry},{"bone":"spine","node":4}]`))).toEqual({ spine: 4 });
  });

  test.each(['"Hips"', '"tail"', '""', 'null', '7', '["hips"]', '{"name":"hips"}'])(
    'when its bone is %s',
    (bone) => {
      const list = `[{"bone":${bone},"node":3},{"bone":"spine","node":4}]`;
      expect(nodes(asOld(list))).toEqual({ spine: 4 });
    },
  );

  test.each(['__proto__', 'constructor', 'toString', 'hasOwnProperty', 'valueOf'])(
    'when its bone is called %s',
    (name) => {
      expect(nodes(asNew(`{"${name}":{"node":3,"hips":{"node":3}}}`))).toBeNull();
      expect(nodes(asNew(`{"hips":{"${name}":{"node":3}}}`))).toBeNull();
      expect(nodes(asOld(`[{"bone":"${name}","node":3}]`))).toBeNull();
      expect(nodes(asOld(`[{"${name}":{"bone":"hips","node":3}}]`))).toBeNull();
      expect(
        read(`{"${name}":{"VRMC_vrm":{"humanoid":{"humanBones":{"hips":{"node":3}}}}}}`),
      ).toBeNull();
    },
  );

  test('and its bad node does not count against a good one', () => {
    const list = '[{"bone":"hips","node":-1},{"bone":"hips","node":"x"},{"bone":"hips","node":5}]';
    expect(nodes(asOld(list))).toEqual({ hips: 5 });
  });
});

test('a member is only what a value has of its own', () => {
  expect(memberOf({ hips: 1 }, 'hips')).toBe(1);
  for (const value of [{}, [], 'hips', null, undefined])
    for (const key of ['constructor', '__proto__', 'length', '0'])
      expect(memberOf(value, key)).toBeUndefined();
});

describe('entries that contradict each other are passed over', () => {
  test('when a bone has two nodes, in either order and however often', () => {
    const twice = '{"bone":"hips","node":1},{"bone":"hips","node":2}';
    const list = `[${twice},{"bone":"spine","node":4},{"bone":"hips","node":1}]`;
    expect(nodes(asOld(list))).toEqual({ spine: 4 });
  });

  test('when a node is two bones', () => {
    const bones = '{"hips":{"node":1},"spine":{"node":1},"chest":{"node":2}}';
    expect(nodes(asNew(bones))).toEqual({ chest: 2 });
  });

  test('but not when the same is said twice', () => {
    expect(nodes(asOld('[{"bone":"hips","node":1},{"bone":"hips","node":1}]'))).toEqual({
      hips: 1,
    });
  });
});

describe('an extension that is no mapping at all is none', () => {
  const values = ['null', '7', '"hips"', 'true', '[]', '[[]]', '{}'];

  test.each(values)('%s', (value) => {
    for (const name of ['VRMC_vrm', 'VRM']) {
      expect(read(value)).toBeNull();
      expect(read(`{"${name}":${value}}`)).toBeNull();
      expect(read(`{"${name}":{"humanoid":${value}}}`)).toBeNull();
      expect(read(`{"${name}":{"humanoid":{"humanBones":${value}}}}`)).toBeNull();
    }
  });

  test('a list for VRM 1.0, an object for VRM 0.x', () => {
    expect(read(asNew('[{"bone":"hips","node":1}]'))).toBeNull();
    expect(read(asOld('{"hips":{"node":1}}'))).toBeNull();
  });
});

test('two hundred thousand entries come down to the bones there are', () => {
  const crowd = Array.from({ length: 200_000 }, (_, i) => `{"bone":"tail ${i}","node":0}`);
  const list = `[{"bone":"hips","node":1},${crowd.join(',')},{"bone":"spine","node":2}]`;
  expect(nodes(asOld(list))).toEqual({ hips: 1, spine: 2 });
  const members = crowd.map((_, i) => `"tail ${i}":{"node":0}`);
  expect(nodes(asNew(`{${members.join(',')},"hips":{"node":1}}`))).toEqual({ hips: 1 });
});
