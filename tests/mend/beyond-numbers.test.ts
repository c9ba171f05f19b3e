import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { tempFolder } from '../support/temp-folder.js';

const allow = REPAIRS.flatMap((repair) => repair.rules);

/** The heron with every node scaled by so much, bound anew as it then stands. */
async function shrunk(scale: number): Promise<MendResult> {
  const puppet = raisePuppet('heron');
  puppet.edits.push((json: GltfJson) => {
    for (const node of json.nodes) node.scale = [scale, scale, scale];
  });
  const path = join(tempFolder({ 'heron.glb': mainFile(buildPuppet(puppet)) }), 'heron.glb');
  return mendAsset(path, defaultSettings(rules), REPAIRS, { restFrom: 'pose', allow });
}

describe('a rig whose mend comes to numbers past all that a file holds', () => {
  it('keeps its two poses where vertices would stand past all that can be measured', async () => {
    const { left, after } = await shrunk(1e-20);
    const [pose] = left.filter(({ rule }) => rule === 'rest.bind');
    expect(pose?.why).toMatch(/ put vertices too far away to be measured; /);
    expect(after.findings.some(({ rule }) => rule === 'rest.bind')).toBe(true);
  });

  it('is not written where the mesh has no place any more, whatever is allowed', async () => {
    const { offending, allowed } = await shrunk(1e-9);
    expect(offending?.repair).toBe('rest pose');
    expect(offending?.proof.share).toBe(Infinity);
    expect(allowed).toEqual([]);
  });
});
