// Sources: Rodrigues' rotation formula, R n = n cos t + (a x n) sin t + a (a . n)(1 - cos t); and of two unit
// vectors at an angle, half their sum has the length of the cosine of half that angle (the diagonal of a
// rhombus). Any handbook has both.
import { expect, it } from 'vitest';
import { isSeen, type Proof } from '../../src/mend/proof/proof.js';
import { LARGEST_SHIFT, LARGEST_TURN, NOISE } from '../../src/mend/proof/proof-limits.js';
import { prove } from './proof-looks.js';

/**
 * Two joints at one place, of which a clip twists the second. One vertex, blended half and half, stands
 * beside them; the other is far away, so that the rig is a thousand times larger.
 *
 * @param degrees Of the twist about X.
 * @param tilt Of its axis towards Y, along which the normals point. Radians.
 */
function twisted(degrees: number, tilt: number): Uint8Array {
  const [c, s] = [Math.cos((degrees / 2) * DEGREE), Math.sin((degrees / 2) * DEGREE)];
  const turn = [s * Math.cos(tilt), s * Math.sin(tilt), 0, c];
  const lists = [
    { type: 'VEC3', values: [0, 0.5, 0, 0, 500, 0] },
    { type: 'VEC3', values: [0, 1, 0, 0, 1, 0] },
    { type: 'VEC4', values: [0.5, 0.5, 0, 0, 1, 0, 0, 0] },
    { type: 'SCALAR', values: [0, 1] },
    { type: 'VEC4', values: [...turn, ...turn] },
  ];
  const floats = Buffer.from(Float32Array.from(lists.flatMap(({ values }) => values)).buffer);
  const joints = Buffer.from([0, 1, 0, 0, 0, 0, 0, 0]);
  const bytes = Buffer.concat([floats, joints]);
  let byteOffset = 0;
  const views = lists.map(({ values }) => {
    const view = { buffer: 0, byteOffset, byteLength: 4 * values.length };
    byteOffset += view.byteLength;
    return view;
  });
  const sizes: Readonly<Record<string, number>> = { SCALAR: 1, VEC3: 3, VEC4: 4 };
  const accessors = lists.map(({ type, values }, bufferView) => {
    return { bufferView, componentType: 5126, type, count: values.length / (sizes[type] ?? 1) };
  });
  const attributes = { POSITION: 0, NORMAL: 1, WEIGHTS_0: 2, JOINTS_0: 5 };
  const json = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0, 2] }],
    nodes: [{ name: 'neck', children: [1] }, { name: 'head' }, { mesh: 0, skin: 0 }],
    skins: [{ joints: [0, 1] }],
    meshes: [{ primitives: [{ attributes, mode: 0 }] }],
    animations: [
      {
        samplers: [{ input: 3, output: 4 }],
        channels: [{ sampler: 0, target: { node: 1, path: 'rotation' } }],
      },
    ],
    accessors: [...accessors, { bufferView: 5, componentType: 5121, type: 'VEC4', count: 2 }],
    bufferViews: [...views, { buffer: 0, byteOffset, byteLength: joints.length }],
    buffers: [
      {
        byteLength: bytes.length,
        uri: `data:application/octet-stream;base64,${bytes.toString('base64')}`,
      },
    ],
  };
  return Buffer.from(JSON.stringify(json));
}

const DEGREE = Math.PI / 180;

/** It moves a vertex that is half a unit off the axis by 1e-7 of the size, a tenth of what is looked at. */
const TILT = 1e-4;

function proofAt(degrees: number): Promise<Proof> {
  return prove(twisted(degrees, 0), twisted(degrees, TILT));
}

it('a normal that a twist has all but blended away is looked at, though hardly anything moves', async () => {
  const { stored, clips, poses } = await proofAt(177);
  expect([stored.share, stored.turn, poses]).toEqual([0, 0, 4]);
  expect(clips.share).toBeLessThan(LARGEST_SHIFT / 10);
  // Of the normal cos t/2 is left, across the axis; along it there is now a (a . n)(1 - cos t) / 2.
  const half = (177 / 2) * DEGREE;
  const turn = Math.atan((TILT * Math.sin(half) ** 2) / Math.cos(half)) / DEGREE;
  expect(clips.turn).toBeCloseTo(turn, 4);
  expect(clips.turned).toMatchObject({ vertex: 0, clip: 'clip 1' });
  expect([turn > 20 * LARGEST_TURN, isSeen(clips)]).toEqual([true, true]);
});

it('one that a twist blends away has no direction that could be compared', async () => {
  const degrees = 180 - NOISE / DEGREE;
  expect(Math.cos((degrees / 2) * DEGREE)).toBeCloseTo(NOISE / 2, 6);
  expect((await proofAt(degrees)).turn).toBe(0);
});
