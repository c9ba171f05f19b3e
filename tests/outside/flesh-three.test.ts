// Source: three.js (npm `three`): which edges of the mesh change their length when a bone is turned
// (`SkinnedMesh.applyBoneTransform`), and whose vertices they join (its own skin attributes). Where flesh
// adjoins flesh, and only there, turning the one against the other pulls at the edges between them.
import { Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { flesh } from '../../src/measure/skin/flesh.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { branchOf } from '../../src/rig/tree.js';
import { factsOf } from '../support/facts-of.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Turn of the bone in radians, about two of its axes at once so that no edge lies along them. */
const TURN = 0.7;
/** An edge that changes by less keeps its length. Share of its length. */
const SAME = 1e-4;

/** Joint that moves each vertex most, by three.js' own attributes, as names. */
function owners(scene: LoadedScene, nameOf: (bone: unknown) => string): string[][] {
  return scene.meshes.map(({ object }) => {
    const { skinIndex, skinWeight } = object.geometry.attributes;
    return Array.from({ length: skinIndex?.count ?? 0 }, (_, vertex) => {
      const weights = [0, 1, 2, 3].map((k) => skinWeight?.getComponent(vertex, k) ?? 0);
      const most = weights.indexOf(Math.max(...weights));
      return nameOf(object.skeleton.bones[skinIndex?.getComponent(vertex, most) ?? -1]);
    });
  });
}

function edgesOf(scene: LoadedScene): [mesh: number, a: number, b: number][] {
  return scene.meshes.flatMap(({ object }, mesh) => {
    const index = object.geometry.index?.array ?? [];
    return Array.from(index, (a, at): [number, number, number] => {
      return [mesh, a, index[at % 3 === 2 ? at - 2 : at + 1] ?? a];
    });
  });
}

function lengths(scene: LoadedScene, edges: readonly [number, number, number][]): number[] {
  for (const node of scene.nodes.values()) node.updateWorldMatrix(false, true);
  const place = (mesh: number, vertex: number): Vector3 => {
    const object = scene.meshes[mesh]?.object;
    const point = new Vector3().fromBufferAttribute(
      object?.geometry.attributes.position as never,
      vertex,
    );
    return object?.applyBoneTransform(vertex, point) ?? point;
  };
  return edges.map(([mesh, a, b]) => place(mesh, a).distanceTo(place(mesh, b)));
}

describe.each(['heron', 'marionette', 'mule'] as const)('%s', (cast) => {
  test('flesh adjoins flesh where three.js pulls at edges between them', async () => {
    const bytes = buildGlb(cast);
    const [facts, scene] = [await factsOf(bytes), await loadInThree(bytes)];
    const { joints } = facts.rig;
    const names = new Map(
      [...scene.nodes].map(([node, object]) => [
        object,
        joints.names[joints.ofNode[node] ?? -1] ?? '',
      ]),
    );
    const owner = owners(scene, (bone) => names.get(bone as never) ?? '');
    const edges = edgesOf(scene);
    const before = lengths(scene, edges);
    let pulled = 0;
    for (let joint = 0; joint < joints.count; joint++) {
      if (skinMass(facts).moves[joint] === 0) continue;
      const bone = scene.nodes.get(joints.node[joint] ?? -1);
      bone?.rotateX(TURN).rotateZ(TURN);
      const after = lengths(scene, edges);
      bone?.rotateZ(-TURN).rotateX(-TURN);
      const branch = branchOf(facts.rig.joints, joint);
      const inBranch = new Set(joints.names.filter((_, item) => branch[item] === 1));
      const inThree = new Set<string>();
      edges.forEach(([mesh, a, b], at) => {
        const [own, other] = [owner[mesh]?.[a] ?? '', owner[mesh]?.[b] ?? ''];
        if (!inBranch.has(own) || inBranch.has(other)) return;
        const change = Math.abs((after[at] ?? 0) / (before[at] ?? 1) - 1);
        if (change > SAME) inThree.add(`${own} ${other}`);
      });
      const ours = new Set<string>();
      flesh(facts).beside.forEach((counts, own) => {
        if (branch[own] !== 1) return;
        for (const other of counts.keys())
          if (branch[other] !== 1) ours.add(`${joints.names[own]} ${joints.names[other]}`);
      });
      expect([...ours].sort(), joints.names[joint]).toEqual([...inThree].sort());
      pulled += ours.size;
    }
    expect(pulled).toBeGreaterThan(10);
  });
});
