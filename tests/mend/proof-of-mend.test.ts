import { join } from 'node:path';
import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { sampleTimes } from '../../src/measure/pose/clip-sampling.js';
import type { Editable } from '../../src/mend/file/editable.js';
import { type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { isSeen } from '../../src/mend/proof/proof.js';
import { SkinMatrices, SkinPose } from '../../src/mend/proof/proof-pose.js';
import { shapeOf } from '../../src/mend/proof/proof-shape.js';
import { compareVertices } from '../../src/mend/proof/proof-vertices.js';
import type { Mended, Repair } from '../../src/mend/repair.js';
import type { Quaternion } from '../../src/rig/quaternion.js';
import type { Rig, RigModel } from '../../src/rig/types.js';
import { tempFolder } from '../support/temp-folder.js';
import { lookedAt, prove, shown } from './proof-looks.js';
import { turnFrames } from './turn-frames.js';

const settings = defaultSettings(rules);

const nameless = lookedAt({
  dress: (dresser) => {
    delete dresser.node('shin_L').name;
  },
});

function mend(repair: Repair): Promise<MendResult> {
  const folder = tempFolder({ 'heron.glb': nameless });
  return mendAsset(join(folder, 'heron.glb'), settings, [repair], { also: repair.rules });
}

/** What a repair says it did, once, so that it is not asked again. */
function did(edit: Editable, rig: Rig | undefined): Mended {
  const node = rig?.joints.node[rig.joints.named.indexOf(false)] ?? -1;
  Object.assign(edit.json.nodes?.[node] ?? {}, { name: 'shin_L' });
  const change = { rule: 'name.missing', place: 'heron', before: 'one way', after: 'the other' };
  return { changes: [change], left: [] };
}

it('a repair that turns a normal is told of, though no vertex moves', async () => {
  const flipping: Repair = {
    name: 'flipping',
    tells: '',
    rules: ['name.missing'],
    mend({ edit, model, looks }) {
      const normals = Float32Array.from(looks?.parts[0]?.[0]?.normals ?? []);
      for (let i = 36; i < 39; i++) normals[i] = -(normals[i] ?? 0);
      edit.write({ kind: 'attribute', mesh: 0, primitive: 0, name: 'NORMAL' }, normals);
      return did(edit, model.rigs[0]);
    },
  };
  const { offending, proof } = await mend(flipping);
  expect(offending?.repair).toBe('flipping');
  expect(offending?.proof).toMatchObject({ share: 0, turned: { vertex: 12 } });
  expect(offending?.proof.turn).toBeCloseTo(180, 9);
  expect(isSeen(proof)).toBe(true);
});

it('frames that are turned show nothing, and no vertex differs more than is told', async () => {
  const turning: Repair = {
    name: 'turning',
    tells: '',
    rules: ['name.missing'],
    mend({ edit, model }) {
      const [rig] = model.rigs;
      // Turns that float32 has to round, the more the deeper.
      const turns = [...(rig?.joints.node ?? [])].map((node, at): [number, Quaternion] => {
        const half = 0.3 + 0.1 * at;
        return [node, [0.6 * Math.sin(half), 0, 0.8 * Math.sin(half), Math.cos(half)]];
      });
      turnFrames({ edit, model }, new Map(turns));
      return did(edit, rig);
    },
  };
  const { offending, files, proof: told } = await mend(turning);
  expect(offending).toBeNull();
  const proof = await prove(nameless, Buffer.from(files.main));
  expect(proof).toEqual(told);
  expect(isSeen(proof)).toBe(false);
  expect(proof.clips.share).toBeGreaterThan(0);
  expect(proof.clips.turn).toBeGreaterThan(0);
  const [before, after] = [await shown(nameless), await shown(Buffer.from(files.main))];
  const found = { distance: 0, turn: 0 };
  const [a, b] = [everyPose(before.model), everyPose(after.model)];
  const looks = [before, after].map((each) => each.looks.parts[0]?.[0]);
  const weights = [
    [0, 0],
    [1, 0],
    [0, 1],
    [0.3, 0.8],
  ];
  expect(a.times.length).toBe(proof.poses - 1);
  for (const time of a.times) {
    const [p, q] = [a.at(time), b.at(time)];
    for (const own of weights) {
      const { distance, turn } = compareVertices(
        { ...p, shape: shapeOf(p.part, looks[0] ?? null, own) },
        { ...q, shape: shapeOf(q.part, looks[1] ?? null, own) },
        null,
      );
      found.distance = Math.max(found.distance, distance);
      found.turn = Math.max(found.turn, turn);
    }
  }
  expect(found.distance).toBeGreaterThan(1e-9);
  expect(found.turn).toBeGreaterThan(1e-6);
  expect(found.distance).toBeLessThanOrEqual(proof.clips.share * diagonal(a.at(0).part.positions));
  expect(found.turn).toBeLessThanOrEqual(proof.clips.turn);
});

/** Of the box of the vertices: the heron is stored in its bind pose. */
function diagonal(positions: Float32Array): number {
  const sides = [0, 1, 2].map((axis) => {
    const along = positions.filter((_, at) => at % 3 === axis);
    return Math.max(...along) - Math.min(...along);
  });
  return Math.hypot(...sides);
}

/** The only clip of the only rig, pose by pose, without any bound. */
function everyPose({ rigs }: RigModel) {
  const [rig] = rigs;
  const [part] = rig?.parts ?? [];
  const [clip] = rig?.clips ?? [];
  if (rig === undefined || part === undefined || clip === undefined)
    throw new Error('there is one rig with one part and one clip');
  const pose = new SkinPose(rig);
  const slots = rig.skins[part.skin]?.jointOfSlot.keys() ?? [];
  const matrices = new SkinMatrices(rig, part.skin, slots, pose);
  pose.play(clip);
  return {
    times: sampleTimes(clip.channels),
    at: (time: number) => {
      pose.seek(time);
      matrices.update();
      return { part, matrices: matrices.values };
    },
  };
}
