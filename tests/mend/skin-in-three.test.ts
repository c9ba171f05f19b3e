// Source: three.js (npm `three`), which reads, poses and skins glTF with code of its own: `GLTFLoader`,
// `AnimationMixer` and `SkinnedMesh.applyBoneTransform` in detached bind mode, where the mesh's own
// transform plays no part. It takes four influences a vertex: what has more is held against the sum
// over all of them as glTF 2.0 (3.7.3 Skins) writes it.
import { AnimationMixer, DetachedBindMode, type Object3D, Vector3 } from 'three';
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Repair } from '../../src/mend/repair.js';
import { idleJoints } from '../../src/mend/repairs/idle-joints.js';
import { jointNames } from '../../src/mend/repairs/names.js';
import { skinWeights } from '../../src/mend/repairs/skin-weights.js';
import { rigOf } from '../support/facts-of.js';
import { skinVertex } from '../support/skin-vertex.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';
import { runRepair } from './run-repair.js';

/** Two places are the same when this near. Share of the largest coordinate. */
const SAME = 1e-5;

/** Into every clip by these parts of its length. */
const MOMENTS = [0.11, 0.37, 0.5, 0.83];

const mends: readonly (readonly [string, Repair, BuildOptions['weights']])[] = [
  ['joint-twice-on-a-vertex', skinWeights, 'float'],
  ['joint-twice-on-a-vertex', skinWeights, 'u8'],
  ['joint-twice-on-a-vertex', skinWeights, 'u16'],
  ['negative-weight', skinWeights, 'float'],
  ['idle-hooks', idleJoints, 'float'],
  ['idle-hooks', idleJoints, 'u8'],
  ['nameless-neck', jointNames, 'float'],
  ['two-of-one-name', jointNames, 'float'],
  ['sides-in-two-ways', jointNames, 'float'],
];

test.each(mends)(
  'three.js sees the same with and without %s (%o, %s weights)',
  async (name, repair, weights = 'float') => {
    const fault = faultNamed(name);
    const bytes = buildGlb(fault.puppet, { faults: [fault], weights });
    const mended = await runRepair(repair, bytes);
    expect(Buffer.compare(mended.bytes, bytes)).not.toBe(0);
    const [before, after] = [await loadInThree(bytes), await loadInThree(mended.bytes)];
    const poses = posesOf(before).map((pose) => pose.join(' '));
    expect(poses.length).toBeGreaterThan(MOMENTS.length);
    for (const pose of posesOf(before)) {
      const [a, b] = [placesIn(before, pose), placesIn(after, pose)];
      expect(b).toHaveLength(a.length);
      expect(farthest(a, b)).toBeLessThan(SAME * reachOf(a));
    }
  },
);

test.each(['float', 'u8', 'u16'] as const)(
  'three.js sees with four joints what five made of a crowded neck, %s weights',
  async (weights) => {
    const bytes = buildGlb('mule', { faults: [faultNamed('crowded-neck')], weights });
    const mended = await runRepair(skinWeights, bytes);
    const rig = await rigOf(bytes);
    const wanted = rig.parts.flatMap((part) =>
      Array.from({ length: part.vertexCount }, (_, vertex) => skinVertex(rig, part, vertex)).flat(),
    );
    const [before, after] = [await loadInThree(bytes), await loadInThree(mended.bytes)];
    const reach = reachOf(wanted);
    expect(farthest(wanted, placesIn(after, REST))).toBeLessThan(SAME * reach);
    // The test can tell: of the crowd as it was, three.js drops the fifth.
    expect(farthest(wanted, placesIn(before, REST))).toBeGreaterThan(1e-3 * reach);
  },
);

/** Clip and seconds; clip -1 is the stored pose. */
type Pose = readonly [clip: number, seconds: number];

const REST: Pose = [-1, 0];

function posesOf({ clips }: LoadedScene): Pose[] {
  return [
    REST,
    ...clips.flatMap(({ duration }, clip) =>
      MOMENTS.map((moment): Pose => [clip, moment * duration]),
    ),
  ];
}

/** Every vertex in world space, x, y, z in a row. */
function placesIn(scene: LoadedScene, [index, seconds]: Pose): number[] {
  const clip = scene.clips[index];
  const top = topOf(scene);
  for (const { object } of scene.meshes) object.bindMode = DetachedBindMode;
  const mixer = clip === undefined ? null : new AnimationMixer(top);
  if (clip !== undefined) mixer?.clipAction(clip).play();
  mixer?.setTime(seconds);
  top.updateMatrixWorld(true);
  const places = scene.meshes.flatMap(({ object }) => {
    const stored = object.geometry.getAttribute('position');
    return Array.from({ length: stored.count }, (_, vertex) =>
      object
        .applyBoneTransform(vertex, new Vector3().fromBufferAttribute(stored, vertex))
        .toArray(),
    ).flat();
  });
  mixer?.stopAllAction();
  return places;
}

function topOf({ meshes }: LoadedScene): Object3D {
  let top: Object3D | undefined = meshes[0]?.object;
  while (top?.parent != null) top = top.parent;
  if (top === undefined) throw new Error('three.js loaded no mesh');
  return top;
}

function farthest(a: readonly number[], b: readonly number[]): number {
  return a.reduce((most, value, at) => Math.max(most, Math.abs(value - (b[at] ?? Number.NaN))), 0);
}

function reachOf(places: readonly number[]): number {
  return places.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}
