// Source: glTF 2.0, 3.7.3.1 and 5.28: a skin without matrices has identities, one with too few of them is
// none that the standard knows.
import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Repair } from '../../src/mend/repair.js';
import { chainDirection } from '../../src/mend/repairs/chain-direction.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { rigidFrames } from '../../src/mend/repairs/rigid-frames.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { applyRepair, findingsOf } from './apply-repair.js';

/** A puppet with a fault, whose skin gives no bind matrices, or one too few. */
function without(matrices: 'all' | 'the last', name: string): Uint8Array {
  const fault = faultNamed(name);
  const puppet = raisePuppet(fault.puppet, { faults: [fault] });
  puppet.edits.push((json) => {
    const [skin] = json.skins ?? [];
    const accessor = json.accessors[skin?.inverseBindMatrices ?? -1];
    if (matrices === 'the last' && accessor !== undefined) accessor.count--;
    else delete skin?.inverseBindMatrices;
  });
  return mainFile(buildPuppet(puppet));
}

/** Every repair that changes the frames of joints, with a fault that it mends by that. */
const REFRAMING: readonly (readonly [string, Repair])[] = [
  ['flipped-shin', turnedFrames],
  ['grown-segments', scaleUnit],
  ['stretched-beak-tip', rigidFrames],
  ['forelegs-hung-by-the-hoof', chainDirection],
];

describe.each(['all', 'the last'] as const)('a skin without %s of its bind matrices', (which) => {
  it.each(REFRAMING)(
    'keeps its frames with %s: a matrix for each would say that the joints were built elsewhere',
    async (fault, repair) => {
      const bytes = without(which, fault);
      const { bytes: after, changes, left } = await applyRepair(bytes, repair);
      expect(changes).toEqual([]);
      expect(left.length).toBeGreaterThan(0);
      expect(left[0]?.why).toMatch(
        /^(it|"\w+") has no inverse bind matrix that could make up for the change; bind the mesh again and export$/,
      );
      expect(Buffer.compare(after, bytes)).toBe(0);
    },
  );
});

it('a skin without matrices that shows no mesh has nothing to be taken back, and is mended', async () => {
  const fault = faultNamed('grown-segments');
  const puppet = raisePuppet(fault.puppet, { faults: [fault] });
  puppet.edits.push((json) => {
    for (const skin of json.skins ?? []) delete skin.inverseBindMatrices;
    for (const node of json.nodes) {
      delete node.mesh;
      delete node.skin;
    }
    delete json.meshes;
  });
  const { bytes, changes } = await applyRepair(mainFile(buildPuppet(puppet)), scaleUnit);
  expect(changes.length).toBeGreaterThan(0);
  expect((await findingsOf(bytes)).filter((finding) => finding.startsWith('scale.'))).toEqual([]);
});
