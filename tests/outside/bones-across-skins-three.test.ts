// Source: three.js (npm `three`): `Skeleton.boneInverses` says where each skin was bound to each bone,
// `Matrix4.invert` gives that place. Which of two skins a bone is measured in is ours; that it is one of
// them, and the same for both its ends, is checked against three.js here.
import { type Bone, Matrix4, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { aims } from '../../src/measure/skeleton/aim.js';
import { invert, mat4At, multiply, origin } from '../../src/rig/mat4.js';
import { distance, type Vec3 } from '../../src/rig/vec3.js';
import { factsOf } from '../support/facts-of.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Matrices are stored as float32. Share of size. */
const SAME = 1e-5;

/** Where each skin that lists both has a joint, in the frame of its parent joint. */
function placesInThree({ rig }: Facts, scene: LoadedScene, joint: number): Vec3[] {
  const [child, parent] = [joint, rig.joints.parent[joint] ?? -1].map((item) =>
    scene.nodes.get(rig.joints.node[item] ?? -1),
  );
  return scene.meshes.flatMap(({ object: { skeleton } }): Vec3[] => {
    const at = (bone: unknown): number => skeleton.bones.indexOf(bone as Bone);
    const [own, above] = [skeleton.boneInverses[at(child)], skeleton.boneInverses[at(parent)]];
    if (own === undefined || above === undefined) return [];
    const local = new Matrix4().multiplyMatrices(above, own.clone().invert());
    const { x, y, z } = new Vector3().setFromMatrixPosition(local);
    return [[x, y, z]];
  });
}

function placeInParent(facts: Facts, world: Float64Array, joint: number): Vec3 {
  const back = invert(mat4At(world, facts.rig.joints.parent[joint] ?? -1));
  return back === null ? [NaN, NaN, NaN] : origin(multiply(back, mat4At(world, joint)));
}

/** How far a joint is from where any one skin has it, in its parent's frame. World units. */
function offAllSkins(facts: Facts, scene: LoadedScene, world: Float64Array, joint: number): number {
  const own = placeInParent(facts, world, joint);
  return Math.min(...placesInThree(facts, scene, joint).map((place) => distance(place, own)));
}

/** The feet are a skin of their own that was bound with bent knees: each skin was built in a pose of its own. */
function bootedAndBent(): Uint8Array {
  const puppet = raisePuppet('marionette');
  const inBoot = (list: readonly Influence[]): boolean =>
    list.some(([joint, weight]) => /^(foot|toe)/.test(String(joint)) && weight >= 0.5);
  for (const part of [...puppet.parts]) {
    const boot = part.triangles.filter((corners) =>
      corners.every((vertex) => inBoot(part.influences[vertex] ?? [])),
    );
    if (boot.length === 0) continue;
    puppet.parts.push({ ...part, name: `${part.name} boot`, triangles: boot, costume: 'boot' });
    part.triangles.splice(
      0,
      part.triangles.length,
      ...part.triangles.filter((corners) => !boot.includes(corners)),
    );
  }
  for (const side of ['L', 'R']) {
    const [x, y, z] = puppet.joint(`shin_${side}`).position;
    const straighten = new Matrix4()
      .makeTranslation(x, y, z)
      .multiply(new Matrix4().makeRotationX((-40 * Math.PI) / 180))
      .multiply(new Matrix4().makeTranslation(-x, -y, -z));
    for (const name of [`shin_${side}`, `foot_${side}`, `toe_${side}`])
      puppet.joint(name).editBindMatrix = (matrix, costume) =>
        costume === 'boot'
          ? new Matrix4()
              .fromArray([...matrix])
              .multiply(straighten)
              .toArray()
          : matrix;
  }
  return mainFile(buildPuppet(puppet, { container: 'glb' }));
}

describe('boots of a skin of their own that was bound with bent knees', () => {
  const bytes = bootedAndBent();

  test('has every bone as one of its skins was bound to both ends', async () => {
    const [facts, scene] = [await factsOf(bytes), await loadInThree(bytes)];
    const { joints } = facts.rig;
    const inner = Array.from(joints.parent).flatMap((parent, joint) =>
      parent !== -1 && placesInThree(facts, scene, joint).length > 0 ? [joint] : [],
    );
    expect(inner.length).toBeGreaterThan(10);
    for (const joint of inner)
      expect(
        offAllSkins(facts, scene, bonePose(facts).world, joint),
        joints.names[joint],
      ).toBeLessThan(SAME * size(facts));
  });

  test('would have bones of no skin, if each end were placed by the skin it has most of', async () => {
    const [facts, scene] = [await factsOf(bytes), await loadInThree(bytes)];
    const { joints } = facts.rig;
    const mixed = Array.from(joints.parent).flatMap((parent, joint) =>
      parent !== -1 && offAllSkins(facts, scene, bindPose(facts).world, joint) > 0.01 * size(facts)
        ? [joints.names[joint]]
        : [],
    );
    expect(mixed.length).toBeGreaterThan(0);
  });

  test('has all joints aimed, as they are in each skin', async () => {
    const facts = await factsOf(bytes);
    expect(aims(facts).length).toBeGreaterThan(5);
    for (const { joint, miss } of aims(facts))
      expect(miss, facts.rig.joints.names[joint]).toBeLessThan(0.1);
  });
});
