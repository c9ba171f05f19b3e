// Source: three.js (npm `three`), its matrices, skeleton and skinning, for the turn about a letter and
// for the skin that follows it.
import {
  Bone,
  BufferGeometry,
  Float32BufferAttribute,
  MathUtils,
  Matrix4,
  Skeleton,
  SkinnedMesh,
  Uint16BufferAttribute,
  Vector3,
} from 'three';
import { describe, expect, it } from 'vitest';
import { curledWorld, readSide, skinned } from '../../src/page/client/handbook/live-side.js';
import type { HandbookLive, LiveSide } from '../../src/page/handbook-live.js';
import { turnedAboutLetter } from '../../src/page/letter-turn.js';
import { packed } from '../../src/page/packed.js';
import { LETTERS, type Letter } from '../../src/rig/letters.js';

/** What float32 leaves of places of some metres, metres. */
const TOLERANCE = 1e-5;

const TURN = {
  X: (angle: number) => new Matrix4().makeRotationX(angle),
  Y: (angle: number) => new Matrix4().makeRotationY(angle),
  Z: (angle: number) => new Matrix4().makeRotationZ(angle),
};

/** A joint as stored: turned, moved and, for one, scaled unequally. */
function local(at: number): Matrix4 {
  const turn = TURN.X(0.3 * at)
    .multiply(TURN.Z(0.7 - 0.4 * at))
    .multiply(TURN.Y(0.2));
  const scale = new Matrix4().makeScale(1, at === 1 ? 1.3 : 1, 1);
  return new Matrix4()
    .makeTranslation(0.1, 1 + 0.2 * at, -0.3)
    .multiply(turn)
    .multiply(scale);
}

const locals = [0, 1, 2, 3].map(local);
const PARENTS = [-1, 0, 1, 2];
const TURNED = [1, 2];
const POSITIONS = [0.2, 1.4, 0.1, -0.1, 2.2, 0.3, 0.4, 3.1, -0.6, 0, 4, 0];
const SLOTS = [0, 1, 0, 0, 1, 2, 0, 0, 2, 3, 1, 0, 3, 0, 0, 0];
/** Steps of 255. */
const WEIGHTS = [155, 100, 0, 0, 55, 200, 0, 0, 100, 100, 55, 0, 255, 0, 0, 0];

function side(): { readonly side: LiveSide; readonly pool: HandbookLive['pool'] } {
  const pool: string[] = [];
  const add = (numbers: Float32Array | Uint16Array | Uint8Array) => {
    const { type, base64 } = packed(numbers);
    return { type, at: pool.push(base64) - 1 };
  };
  const matrices = add(Float32Array.from(locals.flatMap((matrix) => matrix.elements)));
  const step = 8 / 65_535;
  const stored = Uint16Array.from(POSITIONS, (value) => Math.round((value + 4) / step));
  return {
    side: {
      parents: PARENTS,
      shown: matrices,
      bound: matrices,
      joints: [0, 1, 2, 3],
      turned: TURNED,
      mesh: {
        origin: [-4, -4, -4],
        step: [step, step, step],
        positions: add(stored),
        triangles: add(Uint16Array.from([0, 1, 2, 1, 2, 3])),
        slots: add(Uint16Array.from(SLOTS)),
        weights: add(Uint8Array.from(WEIGHTS)),
      },
    },
    pool,
  };
}

/** The same rig in three.js, its chosen joints turned about a letter. */
function inThree(positions: Float32Array, letter: Letter, degrees: number) {
  const bones = locals.map((matrix) => {
    const bone = new Bone();
    bone.matrixAutoUpdate = false;
    bone.matrix.copy(matrix);
    return bone;
  });
  bones.forEach((bone, at) => {
    bones[PARENTS[at] ?? -1]?.add(bone);
  });
  bones[0]?.updateMatrixWorld(true);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new Float32BufferAttribute(positions, 3));
  geometry.setAttribute('skinIndex', new Uint16BufferAttribute(SLOTS, 4));
  geometry.setAttribute(
    'skinWeight',
    new Float32BufferAttribute(
      WEIGHTS.map((w) => w / 255),
      4,
    ),
  );
  const mesh = new SkinnedMesh(geometry);
  mesh.bind(new Skeleton(bones), new Matrix4());
  for (const at of TURNED) bones[at]?.matrix.multiply(TURN[letter](MathUtils.degToRad(degrees)));
  bones[0]?.updateMatrixWorld(true);
  const points = Array.from({ length: positions.length / 3 }, (_, vertex) =>
    mesh.applyBoneTransform(
      vertex,
      new Vector3().fromBufferAttribute(geometry.getAttribute('position'), vertex),
    ),
  );
  return { world: bones.flatMap((bone) => bone.matrixWorld.elements), points };
}

const farthest = (a: ArrayLike<number>, b: readonly number[]): number =>
  Math.max(...b.map((value, at) => Math.abs(value - (a[at] ?? Number.NaN))));

describe.each(LETTERS)('a turn about %s', (letter) => {
  it.each([-180, -35, 0, 90])('by %i° is that of three.js, and so is the skin', (degrees) => {
    const { side: live, pool } = side();
    const read = readSide(live, pool);
    const world = curledWorld(read, letter, degrees);
    const three = inThree(read.positions, letter, degrees);
    expect(farthest(world, three.world)).toBeLessThan(TOLERANCE);
    const points = three.points.flatMap((point) => point.toArray());
    expect(farthest(skinned(read, world), points)).toBeLessThan(TOLERANCE);
    const [one = new Matrix4()] = locals;
    const turned = one.clone().multiply(TURN[letter](MathUtils.degToRad(degrees)));
    expect(
      farthest(turnedAboutLetter(one.elements, letter, degrees), turned.elements),
    ).toBeLessThan(TOLERANCE);
  });
});
