// Source: three.js (npm `three`), which reads and skins glTF with code of its own: `GLTFLoader`,
// `Object3D.matrixWorld` and `SkinnedMesh.applyBoneTransform`. The two hands come from npm
// `@webxr-input-profiles/assets`, profile generic-hand; nobody here made them.
import { Matrix4, Vector3 } from 'three';
import { beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faults } from '../../fixtures/faults/index.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Facts } from '../../src/measure/facts.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { restAgainstBind } from '../../src/measure/pose/rest-against-bind.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { factsOf } from '../support/facts-of.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { skinVertex } from '../support/skin-vertex.js';
import { type LoadedMesh, type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Two places are the same when this near. Relative to the diagonal of the skinned mesh's box. */
const SAME = 1e-5;

/** Faults that need several rigs in a scene: here one is compared at a time. */
const SEVERAL_RIGS = ['moved-stage-of-four'];

/** Asset name, and how to make it. */
type Entry = readonly [string, () => Uint8Array];

const storages: readonly (readonly [string, BuildOptions])[] = [
  ['aim +Y, float weights', {}],
  [
    'aim +X, u8 weights',
    { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' }, weights: 'u8' },
  ],
  [
    'aim -Z, u16 weights, centimetres',
    { convention: { aim: '-Z', up: '+X', mirror: 'negate-aim' }, weights: 'u16', unitScale: 100 },
  ],
  ['quantised positions', { positions: 'quantised', weights: 'u8' }],
  ['quantised positions with a node transform', { positions: 'quantised-node', weights: 'u16' }],
  ['world-aligned', { convention: { aim: '+Y', up: '+Z', mirror: 'negate-side', world: true } }],
];

/**
 * Faults that leave three.js without numbers: no skin, an index past its bones, or matrices left
 * out, which it fills with `undefined`; and a second set of weights, of which it reads nothing.
 */
const NOT_SKINNED_BY_THREE = [
  'joint-past-the-list',
  'too-few-bind-matrices',
  'no-skin',
  'crowded-neck',
];

const entries: readonly Entry[] = [
  ...castNames.flatMap((name) =>
    storages.map(([title, options]): Entry => [`${name}, ${title}`, () => buildGlb(name, options)]),
  ),
  ...faults
    .filter(
      (fault) =>
        ![...NOT_SKINNED_BY_THREE, ...SEVERAL_RIGS].includes(fault.name) &&
        fault.rule !== 'file.no-skin',
    )
    .map((fault): Entry => {
      const weights = fault.weights === undefined ? {} : { weights: fault.weights };
      return [
        `${fault.puppet} with ${fault.name}`,
        () => buildGlb(fault.puppet, { faults: [fault], ...weights }),
      ];
    }),
  ...HAND_SIDES.map((side): Entry => [`the ${side} hand`, () => handBytes(side)]),
];

describe.each(entries)('%s', (_title, make) => {
  let facts: Facts;
  let scene: LoadedScene;

  beforeAll(async () => {
    const bytes = make();
    facts = await factsOf(bytes);
    scene = await loadInThree(bytes);
  });

  test('has every joint where three.js has it, turned and scaled alike', () => {
    const { joints, nodes } = facts.rig;
    const reach = diagonal(facts, scene);
    for (let joint = 0; joint < joints.count; joint++) {
      const node = joints.node[joint] ?? -1;
      const theirs = scene.nodes.get(node)?.matrixWorld.elements ?? [];
      const ours = Array.from(nodes.world.subarray(16 * node, 16 * node + 16));
      expect(theirs).toHaveLength(16);
      expect(farthest(ours.slice(12, 15), theirs.slice(12, 15))).toBeLessThan(SAME * reach);
      const unit = Math.max(...ours.slice(0, 12).map(Math.abs));
      expect(farthest(ours.slice(0, 12), theirs.slice(0, 12))).toBeLessThan(SAME * unit);
    }
  });

  test('has every vertex at rest where three.js skins it to', () => {
    const reach = diagonal(facts, scene);
    for (const part of facts.rig.parts) {
      const loaded = meshOf(scene, part);
      expect(loaded.object.geometry.getAttribute('position').count).toBe(part.vertexCount);
      let worst = 0;
      const nowhereForOne: number[] = [];
      for (let vertex = 0; vertex < part.vertexCount; vertex++) {
        const ours = skinVertex(facts.rig, part, vertex);
        const theirs = skinnedInThree(loaded, vertex).toArray();
        // A weight that is not a number leaves a vertex nowhere: it must be nowhere for both.
        const isSomewhere = ours.every(Number.isFinite);
        if (isSomewhere !== theirs.every(Number.isFinite)) nowhereForOne.push(vertex);
        if (isSomewhere) worst = Math.max(worst, farthest(ours, theirs));
      }
      expect(nowhereForOne).toEqual([]);
      expect(worst).toBeLessThan(SAME * reach);
    }
  });

  test('is shifted off its bind pose by as much as its farthest vertex in three.js', () => {
    let most = 0;
    for (const part of facts.rig.parts) {
      const { object } = meshOf(scene, part);
      const heaviest = bindPose(facts).referenceJoint[part.skin] ?? -1;
      const slot = facts.rig.skins[part.skin]?.slotOfJoint[heaviest] ?? -1;
      const reference = new Matrix4().multiplyMatrices(
        object.skeleton.bones[slot]?.matrixWorld ?? new Matrix4(),
        object.skeleton.boneInverses[slot] ?? new Matrix4(),
      );
      for (let vertex = 0; vertex < part.vertexCount; vertex++) {
        const weights = part.weights.subarray(part.influences * vertex).slice(0, part.influences);
        // The measure leaves weights that are no part of a whole to the rules about weights.
        if (!weights.every((weight) => weight >= 0) || !hasUsableBinds(facts, part, vertex))
          continue;
        const total = weights.reduce((sum, weight) => sum + weight, 0);
        if (total === 0) continue;
        const bound = new Vector3().fromBufferAttribute(
          object.geometry.getAttribute('position'),
          vertex,
        );
        const posed = skinnedInThree(meshOf(scene, part), vertex).divideScalar(total);
        most = Math.max(most, posed.distanceTo(bound.applyMatrix4(reference)));
      }
    }
    expect(Math.abs(restAgainstBind(facts).shift - most)).toBeLessThan(
      SAME * diagonal(facts, scene),
    );
  });
});

describe.each(castNames)('the bind-posed mesh of the sound %s', (name) => {
  test.each(storages)(
    'stored %s is the mesh as three.js skins it at rest',
    async (_title, options) => {
      const bytes = buildGlb(name, options);
      const [facts, scene] = [await factsOf(bytes), await loadInThree(bytes)];
      const reach = diagonal(facts, scene);
      facts.rig.parts.forEach((part, index) => {
        const bound = bindMesh(facts).positions[index] ?? new Float32Array(0);
        let worst = 0;
        for (let vertex = 0; vertex < part.vertexCount; vertex++) {
          const theirs = skinnedInThree(meshOf(scene, part), vertex).toArray();
          worst = Math.max(
            worst,
            farthest(Array.from(bound.subarray(3 * vertex, 3 * vertex + 3)), theirs),
          );
        }
        expect(worst).toBeLessThan(SAME * reach);
      });
      expect(Math.abs(bindMesh(facts).size - reach)).toBeLessThan(SAME * reach);
    },
  );
});

test('the measure of shift is asked about poses that are off as well as poses that are not', async () => {
  const [sound, waved] = await Promise.all(
    [[], faults.filter((fault) => fault.name === 'stored-in-a-wave')].map((list) =>
      factsOf(buildGlb('marionette', { faults: list })),
    ),
  );
  if (sound === undefined || waved === undefined) throw new Error('two rigs were built');
  expect(restAgainstBind(sound).shift).toBeLessThan(1e-6);
  expect(restAgainstBind(waved).shift).toBeGreaterThan(0.1);
});

function meshOf(scene: LoadedScene, part: SkinnedPart): LoadedMesh {
  const found = scene.meshes.find(
    ({ mesh, primitive }) => mesh === part.mesh && primitive === part.primitive,
  );
  if (found === undefined) throw new Error(`three.js has no mesh ${part.mesh}`);
  return found;
}

/**
 * A vertex at rest in world space. GLTFLoader binds in attached mode, so `applyBoneTransform` takes
 * the mesh's own world matrix out again, and here it is put back.
 */
function skinnedInThree({ object }: LoadedMesh, vertex: number): Vector3 {
  const point = new Vector3().fromBufferAttribute(object.geometry.getAttribute('position'), vertex);
  object.applyBoneTransform(vertex, point);
  return object.localToWorld(point);
}

/** Diagonal of the box around all vertices as three.js skins them. */
function diagonal(facts: Facts, scene: LoadedScene): number {
  const [low, high] = [new Vector3(1, 1, 1), new Vector3(-1, -1, -1)].map((v) =>
    v.multiplyScalar(Infinity),
  );
  if (low === undefined || high === undefined) throw new Error('two corners');
  for (const part of facts.rig.parts) {
    for (let vertex = 0; vertex < part.vertexCount; vertex++) {
      const point = skinnedInThree(meshOf(scene, part), vertex);
      if (!point.toArray().every(Number.isFinite)) continue;
      low.min(point);
      high.max(point);
    }
  }
  return high.distanceTo(low);
}

/** Largest difference of two lists of numbers. */
function farthest(a: readonly number[], b: readonly number[]): number {
  return Math.max(...a.map((value, at) => Math.abs(value - (b[at] ?? Number.NaN))));
}

/** Whether every matrix that moves a vertex is one the measure takes: finite, affine, invertible. */
function hasUsableBinds(facts: Facts, part: SkinnedPart, vertex: number): boolean {
  for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
    if (part.weights[k] === 0) continue;
    const matrices = facts.rig.skins[part.skin]?.inverseBind ?? new Float64Array(0);
    const slot = part.slots[k] ?? 0;
    const matrix = new Matrix4().fromArray(
      Array.from(matrices.subarray(16 * slot, 16 * slot + 16)),
    );
    const { elements } = matrix;
    const affine = elements[3] === 0 && elements[7] === 0 && elements[11] === 0;
    if (!affine || elements[15] !== 1 || !(Math.abs(matrix.determinant()) > 0)) return false;
  }
  return true;
}
