// Source: three.js (npm `three`): `Skeleton.pose` puts the bones where the inverse bind matrices have them,
// `Object3D.rotateX`, `rotateY` and `rotateZ` turn each about its own axis, as an animator does who has picked
// all joints of a chain, and `updateMatrixWorld` says where they end. It knows nothing of aim axes or carried
// frames.
import { MathUtils, type Object3D, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { posedJoints } from '../../src/measure/pose/posed-joints.js';
import { curledSegments, curls } from '../../src/measure/skeleton/curl.js';
import { curlChain } from '../../src/measure/skeleton/curl-pose.js';
import { LETTERS, type Letter } from '../../src/rig/letters.js';
import { distance, type Vec3 } from '../../src/rig/vec3.js';
import { factsOf } from '../support/facts-of.js';
import { storedAt } from '../support/stored-at.js';
import { loadInThree } from '../support/three-scene.js';

/** Inverse bind matrices are float32, and errors add up along a chain. Share of the chain's length. */
const SAME = 2e-5;
/** Amounts that one joint can be turned by, both ways and up to the farthest. Degrees. */
const AMOUNTS = [-180, -63, 25, 120];

const TURN: Readonly<Record<Letter, (node: Object3D, angle: number) => void>> = {
  X: (node, angle) => void node.rotateX(angle),
  Y: (node, angle) => void node.rotateY(angle),
  Z: (node, angle) => void node.rotateZ(angle),
};

/** The rig in three.js: where some joints are after each of them is turned alike from the bind pose. */
async function inThree(bytes: Uint8Array, nodeOf: ArrayLike<number>) {
  const { nodes, meshes } = await loadInThree(bytes);
  for (const { object } of meshes) object.skeleton.pose();
  const bind = new Map([...nodes.values()].map((node) => [node, node.quaternion.clone()]));
  return (joints: readonly number[], letter: Letter, degrees: number): Vec3[] => {
    const turned = joints.map((joint) => {
      const node = nodes.get(nodeOf[joint] ?? -1);
      if (node === undefined) throw new Error(`three.js has no node of joint ${joint}`);
      return node;
    });
    for (const node of turned) TURN[letter](node, MathUtils.degToRad(degrees));
    let top = turned[0];
    while (top?.parent) top = top.parent;
    top?.updateMatrixWorld(true);
    const places = turned.map((node): Vec3 => {
      const { x, y, z } = new Vector3().setFromMatrixPosition(node.matrixWorld);
      return [x, y, z];
    });
    for (const node of turned) node.quaternion.copy(bind.get(node) ?? node.quaternion);
    return places;
  };
}

const lengthOf = (places: readonly Vec3[]): number =>
  places.reduce((sum, place, at) => sum + distance(place, places[at - 1] ?? place), 0);

/** The largest difference between the distances of any two joints: the same for the same shape, wherever it is. */
function apart(a: readonly Vec3[], b: readonly Vec3[]): number {
  let worst = a.length === b.length ? 0 : Number.NaN;
  for (const i of a.keys())
    for (const j of a.keys()) {
      const [one, other] = [a, b].map((list) =>
        distance(list[i] ?? [0, 0, 0], list[j] ?? [9, 9, 9]),
      );
      worst = Math.max(worst, Math.abs((one ?? 0) - (other ?? Number.NaN)));
    }
  return worst;
}

const faulty = (name: string): Uint8Array => {
  const fault = faultNamed(name);
  return buildGlb(fault.puppet, { faults: [fault] });
};

const rigs: [string, () => Uint8Array][] = [
  ['a sound heron', () => buildGlb('heron')],
  ['a sound heron that is stored posed', () => storedAt('heron', 0.31).bytes],
  ['a heron with a flipped shin', () => faulty('flipped-shin')],
  ['a sound stag beetle', () => buildGlb('stag-beetle')],
  ['a caterpillar with rings on another axis', () => faulty('rings-on-another-axis')],
  ['a sound marionette', () => buildGlb('marionette')],
];

describe.each(rigs)('%s', (name, make) => {
  test('curls as three.js turns its joints, about every letter and however far', async () => {
    const bytes = make();
    const facts = await factsOf(bytes);
    const turn = await inThree(bytes, facts.rig.joints.node);
    const segments = curledSegments(facts);
    expect(segments.length).toBeGreaterThan(0);
    if (name.includes('posed')) expect(posedJoints(facts, 1e-3).length).toBeGreaterThan(0);
    let [worst, bent, strays] = [0, 0, 0];
    for (const { joints, chain } of segments) {
      const straight = curlChain(chain, 'X', 0).own;
      const length = lengthOf(straight);
      for (const letter of LETTERS) {
        for (const degrees of AMOUNTS) {
          const { own, drift } = curlChain(chain, letter, degrees);
          worst = Math.max(worst, apart(own, turn(joints, letter, degrees)) / length);
          strays = Math.max(strays, drift);
          bent = Math.max(bent, apart(own, straight) / length);
        }
      }
    }
    expect(worst).toBeLessThan(SAME);
    expect(bent).toBeGreaterThan(0.5);
    // Sound frames are carried ones: about no letter, and by no amount, do the two part.
    if (name.includes('sound')) expect(strays).toBeLessThan(SAME);
    else expect(strays).toBeGreaterThan(0.5);
  });
});

// The frames of the sound cast are carried: what a fault strays by is how far three.js has the two rigs apart.
describe.each(['flipped-shin', 'rings-on-another-axis', 'wandering-legs', 'rolled-neck'])(
  'the drift of %s',
  (name) => {
    test('is how far three.js has it from the sound rig that is turned alike', async () => {
      const [bytes, sound] = [faulty(name), buildGlb(faultNamed(name).puppet)];
      const facts = await factsOf(bytes);
      const [curl] = [...curls(facts)].sort((a, b) => b.drift - a.drift);
      if (curl === undefined) throw new Error('the rig has segments');
      const { joints, letter, degrees, drift, worst } = curl;
      const places = await Promise.all(
        [bytes, sound].map(async (file) =>
          (await inThree(file, facts.rig.joints.node))(joints, letter, degrees),
        ),
      );
      const [own = [], should = []] = places;
      const gaps = own.map((place, at) => distance(place, should[at] ?? [9, 9, 9]));
      const most = Math.max(...gaps);
      expect(joints[gaps.indexOf(most)]).toBe(worst);
      expect(Math.abs(most / lengthOf(should) - drift)).toBeLessThan(SAME);
      expect(drift).toBeGreaterThan(0.02);
    });
  },
);
