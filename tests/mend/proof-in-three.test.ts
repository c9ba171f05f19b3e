// Source: three.js (npm `three`): `GLTFLoader` reads the file, `AnimationMixer` poses joints and weighs morph
// targets, `Mesh.getVertexPosition` adds these, `SkinnedMesh.applyBoneTransform` skins in detached bind mode.
// It turns normals and tangents in its shader chunk `skinnormal_vertex` alone, by the matrix of which
// `applyBoneTransform` is the sum over the joints: what that gives for a point less what it gives for the
// origin is that matrix's upper 3 x 3 times the point.
import { AnimationMixer, DetachedBindMode, type Object3D, type SkinnedMesh, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { sampleChannel } from '../../src/measure/pose/clip-sampling.js';
import { SkinMatrices, SkinPose } from '../../src/mend/proof/proof-pose.js';
import { shapeOf } from '../../src/mend/proof/proof-shape.js';
import { apply, blend, type PosedPart } from '../../src/mend/proof/proof-vertices.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';
import { lookedAt, shown, TANGENT_DELTA } from './proof-looks.js';

/** Two places or unit directions are the same when this near; three.js keeps weights and keys as floats. */
const SAME = 2e-6;

/** Seconds of the first clip; null for the stored pose. */
const MOMENTS = [null, 0, 0.25, 0.4, 0.75, 1] as const;

const bytes = lookedAt();

describe.each(MOMENTS)(
  'at %s s, three.js and the proof agree on every vertex about',
  async (time) => {
    const [scene, ours] = [await loadInThree(bytes), await posed(time)];
    pose(scene, time);
    const [mesh] = scene.meshes;
    if (mesh === undefined) throw new Error('three.js loaded no mesh');
    const { object } = mesh;
    object.bindMode = DetachedBindMode;
    const { count } = object.geometry.getAttribute('position');

    it('where it is', () => {
      expect(count).toBe(ours.part.vertexCount);
      let worst = 0;
      for (let vertex = 0; vertex < count; vertex++) {
        const place = object.getVertexPosition(vertex, new Vector3());
        worst = Math.max(worst, place.distanceTo(turned(ours, vertex, ours.shape.positions, 3, 1)));
      }
      expect(worst).toBeLessThan(SAME);
    });

    it.each([
      ['normal', 3],
      ['tangent', 4],
    ] as const)('the direction of its %s', (kind, stride) => {
      const values = kind === 'normal' ? ours.shape.normals : ours.shape.tangents;
      if (values === null) throw new Error(`there are no ${kind}s`);
      let [worst, turns] = [0, 0];
      for (let vertex = 0; vertex < count; vertex++) {
        const stored = morphed(object, kind, vertex);
        const direction = skinned(object, vertex, stored).normalize();
        turns = Math.max(turns, direction.distanceTo(stored.clone().normalize()));
        const own = turned(ours, vertex, values, stride, 0).normalize();
        worst = Math.max(worst, direction.distanceTo(own));
      }
      expect(worst).toBeLessThan(SAME);
      // The clip does turn some of them.
      if (time === 0.25) expect(turns).toBeGreaterThan(0.05);
    });
  },
);

it('morph targets weigh something at the moments, and differ from one to another', async () => {
  const scene = await loadInThree(bytes);
  const weights = MOMENTS.map((time) => {
    pose(scene, time);
    return [...(scene.meshes[0]?.object.morphTargetInfluences ?? [])].map((weight) =>
      Number(weight.toFixed(6)),
    );
  });
  expect(weights).toEqual([
    [0.25, 0],
    [0, 0],
    [0.15, 0.4],
    [0.24, 0.64],
    [0.15, 0.5],
    [0, 0.2],
  ]);
});

/** The part as the proof poses it. */
async function posed(time: number | null): Promise<PosedPart> {
  const { model, looks } = await shown(bytes);
  const [rig] = model.rigs;
  const [part] = rig?.parts ?? [];
  const look = looks.parts[0]?.[0];
  if (rig === undefined || part === undefined || look === undefined)
    throw new Error('there is one rig with one part');
  const clip = rig.clips.find(({ index }) => index === 0) ?? null;
  const pose = new SkinPose(rig);
  const slots = rig.skins[part.skin]?.jointOfSlot.keys() ?? [];
  const matrices = new SkinMatrices(rig, part.skin, slots, pose);
  const weights = Float64Array.from(look.weights);
  if (time !== null) {
    pose.play(clip);
    pose.seek(time);
    const track = looks.tracks.get(0)?.get(part.node);
    if (track === undefined) throw new Error('the clip weighs morph targets');
    sampleChannel(track, time, weights);
  }
  matrices.update();
  return { part, matrices: matrices.values, shape: shapeOf(part, look, weights) };
}

function turned(
  part: PosedPart,
  vertex: number,
  values: ArrayLike<number>,
  stride: 3 | 4,
  w: 0 | 1,
): Vector3 {
  const m = new Float64Array(12);
  blend(part, vertex, m);
  const at = (row: 0 | 1 | 2): number => apply(m, row, values, stride * vertex, w);
  return new Vector3(at(0), at(1), at(2));
}

function pose({ clips, meshes }: LoadedScene, time: number | null): void {
  let top: Object3D | undefined = meshes[0]?.object;
  while (top?.parent != null) top = top.parent;
  const [clip] = clips;
  if (top === undefined || clip === undefined) throw new Error('three.js loaded no clip');
  if (time !== null) {
    const mixer = new AnimationMixer(top);
    mixer.clipAction(clip).play();
    mixer.setTime(time);
  }
  top.updateMatrixWorld(true);
}

/** What morph targets make of a normal or tangent: `morphTargetsRelative`, as `Mesh.getVertexPosition` has it. */
function morphed(object: SkinnedMesh, kind: 'normal' | 'tangent', vertex: number): Vector3 {
  const { geometry, morphTargetInfluences: weights = [] } = object;
  const out = new Vector3().fromBufferAttribute(geometry.getAttribute(kind), vertex);
  if (kind === 'tangent') {
    // Those of targets GLTFLoader leaves out: glTF 2.0 (3.7.2.2) adds them as it does normals.
    const [x, y, z] = [0, 1, 2].map((axis) => TANGENT_DELTA(3 * vertex + axis));
    return out.addScaledVector(new Vector3(x, y, z), weights[1] ?? 0);
  }
  geometry.morphAttributes.normal?.forEach((delta, target) => {
    out.addScaledVector(new Vector3().fromBufferAttribute(delta, vertex), weights[target] ?? 0);
  });
  return out;
}

function skinned(object: SkinnedMesh, vertex: number, direction: Vector3): Vector3 {
  const origin = object.applyBoneTransform(vertex, new Vector3());
  return object.applyBoneTransform(vertex, direction.clone()).sub(origin);
}
