// Source: three.js (npm `three`): `GLTFLoader` reads both files, `Box3` measures the mesh of the model, and
// the world places of bones are those of their world matrices. How far a joint is from its place in the
// model, in % of the model's size, is told by these alone.
import { Box3, Vector3 } from 'three';
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { reportLikeness } from '../../src/check/report-likeness.js';
import { defaultSettings } from '../../src/check/settings.js';
import { approvedOf } from '../support/approved-of.js';
import { classmate, moveJoint } from '../support/classmate.js';
import { modelOf } from '../support/facts-of.js';
import { loadInThree } from '../support/three-scene.js';

/** % of size: what numbers of 32 bits leave. */
const ROUNDING = 1e-3;

async function bonesIn(bytes: Uint8Array): Promise<Map<string, Vector3>> {
  const { meshes } = await loadInThree(bytes);
  const bones = meshes[0]?.object.skeleton.bones ?? [];
  return new Map(
    bones.map((bone) => [bone.name, new Vector3().setFromMatrixPosition(bone.matrixWorld)]),
  );
}

test('joints are out of place by as many % of the size as three.js places them', async () => {
  const bytes = buildGlb('heron');
  const own = classmate(
    moveJoint('shin_L', [0.01, 0, 0.03]),
    moveJoint('wing_2_R', [0, -0.05, 0.02]),
    moveJoint('head', [0, 0.004, 0]),
  );
  const box = new Box3();
  for (const { object } of (await loadInThree(bytes)).meshes) box.expandByObject(object);
  const size = box.getSize(new Vector3()).length();
  const [theirs, ours] = [await bonesIn(bytes), await bonesIn(own)];
  const wanted = [...theirs].flatMap(([name, place]) => {
    const percent = (100 * place.distanceTo(ours.get(name) ?? place)) / size;
    return percent > 1 ? [[name, percent] as const] : [];
  });
  expect(wanted.map(([name]) => name).sort()).toEqual(['shin_L', 'wing_2_R']);

  const model = await approvedOf(bytes);
  const { rigs } = reportLikeness(await modelOf(own), model, defaultSettings(rules));
  const told = (rigs[0]?.faults ?? []).flatMap((fault) =>
    fault.kind === 'place' ? [[fault.joint, fault.percent] as const] : [],
  );
  expect(told.map(([name]) => name).sort()).toEqual(['shin_L', 'wing_2_R']);
  for (const [name, percent] of wanted)
    expect(Math.abs((new Map(told).get(name) ?? 0) - percent), name).toBeLessThan(ROUNDING);
});
