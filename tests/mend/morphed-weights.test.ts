import { expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { skinWeights } from '../../src/mend/repairs/skin-weights.js';
import { runRepair } from './run-repair.js';

it('weights of a mesh with morph targets are left alone, since its shape may show what is hidden now', async () => {
  const fault = faultNamed('crowded-neck');
  const built = build(fault.puppet, {
    faults: [fault],
    container: 'gltf-embedded',
  });
  // What the kit builds has a mesh.
  const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? '').toString()) as {
    meshes: { primitives: { attributes: { POSITION: number }; targets?: object[] }[] }[];
  };
  const plain = await runRepair(skinWeights, Buffer.from(JSON.stringify(json)));
  for (const { primitives } of json.meshes)
    for (const primitive of primitives)
      primitive.targets = [{ POSITION: primitive.attributes.POSITION }];
  const bytes = Buffer.from(JSON.stringify(json));
  const morphed = await runRepair(skinWeights, bytes);
  expect(plain.changes.length).toBeGreaterThan(0);
  expect(morphed.changes).toEqual([]);
  expect(morphed.left.map(({ rule, why }) => [rule, why.includes('morph targets')])).toEqual([
    ['skin.budget', true],
  ]);
});
