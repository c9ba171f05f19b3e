import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { applyRepair, findingsOf } from './apply-repair.js';

/** A faulty heron whose skin gives no bind matrices, or one too few. */
function without(matrices: 'all' | 'the last'): Uint8Array {
  const puppet = raisePuppet('heron', { faults: [faultNamed('flipped-shin')] });
  puppet.edits.push((json) => {
    const [skin] = json.skins ?? [];
    const accessor = json.accessors[skin?.inverseBindMatrices ?? -1];
    if (matrices === 'the last' && accessor !== undefined) accessor.count--;
    else delete skin?.inverseBindMatrices;
  });
  return mainFile(buildPuppet(puppet));
}

describe.each(['all', 'the last'] as const)('a skin without %s of its bind matrices', (which) => {
  it('keeps its frames, since identities would say that its joints were built elsewhere', async () => {
    const bytes = without(which);
    const { bytes: after, changes, left } = await applyRepair(bytes, turnedFrames);
    expect(changes).toEqual([]);
    expect(left.length).toBeGreaterThan(0);
    expect(left[0]?.why).toBe(
      'it has no inverse bind matrix that could make up for the turn; bind the mesh again and export',
    );
    expect(await findingsOf(after)).toEqual(await findingsOf(bytes));
  });
});
