// Source: three.js (npm `three`), which reads, poses and skins glTF with code of its own: `GLTFLoader`,
// `AnimationMixer` and `SkinnedMesh.applyBoneTransform` in detached bind mode, where the mesh's own
// transform plays no part. It takes four influences a vertex: what has more is held against the sum
// over all of them as glTF 2.0 (3.7.3 Skins) writes it.
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
import { loadInThree } from '../support/three-scene.js';
import { runRepair } from './run-repair.js';
import { farthest, MOMENTS, placesIn, posesOf, REST, reachOf } from './skins-in-three.js';

/** Two places are the same when this near. Share of the largest coordinate. */
const SAME = 1e-5;

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
