import { expect, test } from 'vitest';
import { modelOf } from '../support/facts-of.js';
import { type TinyJoint, tinyGlb } from '../support/tiny-rig.js';
import { mapBones } from '../support/vrm.js';

/** Two rigs of two joints each, and a node that is no joint. The rig of the knob comes first, by name. */
const joints: TinyJoint[] = [
  { name: 'wick', parent: -1, at: [0, 0, 0] },
  { name: 'bead', parent: 0, at: [0, 1, 0] },
  { name: 'knob', parent: -1, at: [3, 0, 0] },
  { name: 'cap', parent: 2, at: [3, 1, 0] },
];
const NO_JOINT = 4;

async function mapped(bones: Readonly<Record<string, number>>) {
  const glb = tinyGlb(joints, null, (json) => {
    json.skins = [{ joints: [1, 0] }, { joints: [2, 3] }];
    mapBones(bones)(json);
  });
  return (await modelOf(glb)).rigs.map((rig) => {
    return rig.humanoid && Object.fromEntries(rig.humanoid.joints);
  });
}

test('each rig has the part of the mapping that is about its joints, by joint index', async () => {
  expect(await mapped({ hips: 0, spine: 1, head: 3 })).toEqual([
    { head: 1 },
    { hips: 0, spine: 1 },
  ]);
});

test('a node that is no joint has no part in it, and a rig without any has no mapping', async () => {
  expect(await mapped({ hips: 0, jaw: NO_JOINT })).toEqual([null, { hips: 0 }]);
});
