// Source: three.js (npm `three`), `SkinnedMesh.computeBoundingBox`, which applies the bones to every
// vertex. The cast is stored in its bind pose, so that both measure the same figure.
import { Box3 } from 'three';
import { expect, test } from 'vitest';
import { build, mainFile } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { rules } from '../../rules/index.js';
import { METRES } from '../../src/measure/length-units.js';
import { parseStandard } from '../../src/standard/read-standard.js';
import { findingsOf } from '../support/findings-of.js';
import { loadInThree } from '../support/three-scene.js';

/** Share of the height. */
const SAME = 1e-5;

const CASES = castNames.flatMap((name) =>
  (['+X', '+Y', '+Z'] as const).map((vertical) => [name, vertical] as const),
);

test.each(CASES)('the %s is as high along %s as three.js has it', async (name, vertical) => {
  // In inches, to be told in centimetres.
  const bytes = mainFile(build(name, { unitScale: 1 / METRES.in }));
  const { meshes } = await loadInThree(bytes);
  const box = new Box3();
  for (const { object } of meshes) {
    object.computeBoundingBox();
    if (object.boundingBox) box.union(object.boundingBox.clone().applyMatrix4(object.matrixWorld));
  }
  const axis = ({ '+X': 'x', '+Y': 'y', '+Z': 'z' } as const)[vertical];
  const inches = box.max[axis] - box.min[axis];

  const contract = { height: { from: 1e6, to: 2e6, unit: 'cm' }, vertical };
  const text = JSON.stringify({ conventions: { unit: 'in' }, contract });
  const { settings } = parseStandard(text, 'house.json', rules);
  const { findings } = await findingsOf(bytes, 'house.height', settings);
  expect(findings[0]?.unit).toBe('cm');
  const ratio = (findings[0]?.measured ?? 0) / (2.54 * inches);
  expect(Math.abs(ratio - 1)).toBeLessThan(SAME);
});
