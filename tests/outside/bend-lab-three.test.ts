// Source: three.js (npm `three`), which reads and skins glTF with code of its own: `GLTFLoader`,
// `Object3D.matrixWorld` and `SkinnedMesh.applyBoneTransform`. The two hands come from npm
// `@webxr-input-profiles/assets`, profile generic-hand; nobody here made them.
import { Matrix4, type Object3D, Vector3 } from 'three';
import { beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { BEND_DEGREES, bendAxes, bendLab, zoneOf } from '../../src/measure/bend/bend-lab.js';
import { turnPoints } from '../../src/measure/bend/bend-points.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { restAgainstBind } from '../../src/measure/pose/rest-against-bind.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { bentSkin } from '../support/bent-skin.js';
import { factsOf } from '../support/facts-of.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Two places are the same when this near. Relative to size. */
const SAME = 1e-5;

const storages: readonly (readonly [string, BuildOptions])[] = [
  ['aim +Y, float weights', {}],
  [
    'aim -Z, u16 weights, centimetres',
    { convention: { aim: '-Z', up: '+X', mirror: 'negate-aim' }, weights: 'u16', unitScale: 100 },
  ],
  ['quantised positions with a node transform', { positions: 'quantised-node', weights: 'u8' }],
  ['world-aligned', { convention: { aim: '+Y', up: '+Z', mirror: 'negate-side', world: true } }],
];

const entries: readonly (readonly [string, () => Uint8Array])[] = [
  // Each puppet stored in two ways, so that each way meets two puppets and more.
  ...castNames.flatMap((name, at) =>
    storages
      .filter((_, way) => (way - at) % 2 === 0)
      .map(([title, options]) => [`${name}, ${title}`, () => buildGlb(name, options)] as const),
  ),
  ...['quarter-turn-holder', 'scaled-holder', 'moved-mesh-node'].map(
    (name) => [`the fault ${name}`, () => withFault(name)] as const,
  ),
  ...HAND_SIDES.map((side) => [`the ${side} hand`, () => handBytes(side)] as const),
];

describe.each(entries)('%s', (_title, make) => {
  let facts: Facts;
  let scene: LoadedScene;

  beforeAll(async () => {
    const bytes = make();
    facts = await factsOf(bytes);
    scene = await loadInThree(bytes);
  });

  test('stands in its bind pose, so that both turn the same skin', () => {
    expect(restAgainstBind(facts).shift).toBeLessThan(SAME * size(facts));
  });

  test('has every vertex where three.js skins it to when one joint is turned', () => {
    let [moved, worst] = [0, 0];
    const unlike: number[] = [];
    const still = bentSkin(facts, 0, [1, 0, 0], 0);
    for (let joint = 0; joint < facts.rig.joints.count; joint++) {
      bendAxes(facts, joint).forEach(({ along }, i) => {
        const degrees = i === 0 ? BEND_DEGREES : -BEND_DEGREES;
        const ours = bentSkin(facts, joint, along, degrees);
        const theirs = inThree(facts, scene, joint, along, degrees);
        if (ours.some((part, at) => part.length !== theirs[at]?.length)) unlike.push(joint);
        worst = Math.max(worst, ...ours.map((part, at) => farthest(part, theirs[at] ?? [])));
        if (
          Math.max(...ours.map((part, at) => farthest(part, still[at] ?? []))) >
          0.01 * size(facts)
        )
          moved++;
      });
    }
    expect(unlike).toEqual([]);
    expect(worst).toBeLessThan(SAME * size(facts));
    // Nearly every joint is seen to move something: tips and controls move nothing.
    expect(moved).toBeGreaterThan(facts.rig.joints.count);
  });

  test('measures the very places it is posed to', () => {
    for (const { joint, bends } of bendLab(facts).joints) {
      const zone = zoneOf(facts, joint);
      const at = bindPose(facts).places[joint] ?? [0, 0, 0];
      for (const { about } of bends) {
        const known = new Points();
        for (const part of bentSkin(facts, joint, about, BEND_DEGREES)) known.add(part, [0, 0, 0]);
        const posed = turnPoints(zone.places, zone.shares, about, BEND_DEGREES);
        expect(known.missing(posed, at)).toEqual([]);
      }
    }
  });
});

function withFault(name: string): Uint8Array {
  const fault = faultNamed(name);
  return buildGlb(fault.puppet, { faults: [fault] });
}

/** The whole skin as three.js has it with one joint turned about a world axis through its place. */
function inThree(
  facts: Facts,
  scene: LoadedScene,
  joint: number,
  axis: Vec3,
  degrees: number,
): Float64Array[] {
  const bone = scene.nodes.get(facts.rig.joints.node[joint] ?? -1);
  if (bone === undefined) throw new Error(`three.js has no joint ${joint}`);
  const stored = bone.matrix.clone();
  const place = new Vector3().setFromMatrixPosition(bone.matrixWorld);
  const turned = new Matrix4()
    .makeTranslation(place)
    .multiply(new Matrix4().makeRotationAxis(new Vector3(...axis), (degrees * Math.PI) / 180))
    .multiply(new Matrix4().makeTranslation(place.clone().negate()))
    .multiply(bone.matrixWorld);
  const above = bone.parent?.matrixWorld ?? new Matrix4();
  setLocal(scene, bone, above.clone().invert().multiply(turned));
  const point = new Vector3();
  const skins = facts.rig.parts.map((part) => {
    const loaded = scene.meshes.find(
      ({ mesh, primitive }) => mesh === part.mesh && primitive === part.primitive,
    );
    if (loaded === undefined) throw new Error(`three.js has no mesh ${part.mesh}`);
    const { object } = loaded;
    const stored = object.geometry.getAttribute('position');
    const places = new Float64Array(3 * part.vertexCount);
    for (let vertex = 0; vertex < part.vertexCount; vertex++) {
      point.fromBufferAttribute(stored, vertex);
      object.localToWorld(object.applyBoneTransform(vertex, point)).toArray(places, 3 * vertex);
    }
    return places;
  });
  setLocal(scene, bone, stored);
  return skins;
}

function setLocal(scene: LoadedScene, bone: Object3D, local: Matrix4): void {
  bone.matrixAutoUpdate = false;
  bone.matrix.copy(local);
  let top = bone;
  while (top.parent !== null) top = top.parent;
  top.updateMatrixWorld(true);
  for (const { object } of scene.meshes) object.skeleton.update();
}

function farthest(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let most = 0;
  for (let i = 0; i < a.length; i++)
    most = Math.max(most, Math.abs((a[i] ?? 0) - (b[i] ?? Number.NaN)));
  return most;
}

/** Places to four decimals. */
class Points {
  private readonly byPlace = new Map<number, Set<number>>();

  /** Takes x, y, z of each point, as they stand from a place. */
  add(values: ArrayLike<number>, from: Vec3): void {
    for (let i = 0; i + 2 < values.length; i += 3) {
      const [column, z] = keysOf(values, i, from);
      const known = this.byPlace.get(column);
      if (known === undefined) this.byPlace.set(column, new Set([z]));
      else known.add(z);
    }
  }

  /** Those that it does not hold, by their places in the list. */
  missing(values: ArrayLike<number>, from: Vec3): number[] {
    const missing: number[] = [];
    for (let i = 0; i + 2 < values.length; i += 3) {
      const [column, z] = keysOf(values, i, from);
      if (this.byPlace.get(column)?.has(z) !== true) missing.push(i / 3);
    }
    return missing;
  }
}

/** One whole number of x and y, and one of z: ten thousandths, of which 2^26 reach 3 km each way. */
function keysOf(values: ArrayLike<number>, i: number, from: Vec3): readonly [number, number] {
  const whole = (k: 0 | 1 | 2): number => Math.round(1e4 * (from[k] + (values[i + k] ?? 0)));
  return [whole(0) * 2 ** 26 + whole(1), whole(2)];
}
