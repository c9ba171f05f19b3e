// Sources: VRMC_springBone 1.0 (`VRMC_springBone.colliders`, SpringBone Algorithm),
// VRMC_springBone_extended_collider 1.0 (ShapePlane; Plane Collider), both of vrm-c/vrm-specification;
// three.js (npm `three`) for where nodes stand and for normal matrices.
import { Matrix3, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import { holderOf } from '../../fixtures/kit/changes.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { notCarried } from '../../src/mend/carry/carry-extensions.js';
import type { GltfJson } from '../../src/mend/json/gltf-json.js';
import type { Repair } from '../../src/mend/repair.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { meshNodes } from '../../src/mend/repairs/mesh-nodes.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { compose } from '../../src/rig/mat4.js';
import { applyRepair } from './apply-repair.js';
import {
  at,
  extend,
  extended,
  numberAt,
  placed,
  SAME,
  type Stood,
  stand,
  vectorAt,
  worldScale,
} from './carried.js';
import { type Dresser, dressed } from './dressed.js';
import { swing } from './swing.js';
import { whyNotCarried } from './why-not-carried.js';

const EXTENDED = 'VRMC_springBone_extended_collider';

/** A spring on three joints, with a collider of each kind on the one in the middle. */
function springOn(dresser: Dresser, names: readonly [string, string, string]): void {
  const nodes = names.map((name) => dresser.named(name));
  const node = nodes[1] ?? 0;
  const rest = {
    hitRadius: 0.02,
    stiffness: 0.6,
    gravityPower: 1.5,
    gravityDir: [0.6, 0, 0.8],
    dragForce: 0.3,
  };
  extend(dresser, {
    VRMC_springBone: {
      specVersion: '1.0',
      colliders: [
        { node: nodes[0], shape: { sphere: { offset: [0.03, 0.1, 0.06], radius: 0.09 } } },
        { node, shape: { sphere: { offset: [0.05, 0.11, 0.07], radius: 0.04 } } },
      ],
      colliderGroups: [{ name: 'lamps', colliders: [0, 1] }],
      springs: [{ joints: nodes.map((own) => ({ node: own, ...rest })), colliderGroups: [0] }],
    },
  });
}

/** The same colliders, and one of every other kind, without a spring. */
function shapesOn(dresser: Dresser, name: string): void {
  const node = dresser.named(name);
  const plane = { offset: [0.02, 0.03, 0.04], normal: [0.48, 0.6, 0.64] };
  const inside = { offset: [0.3, 0.1, -0.2], radius: 2, tail: [0, 1, 0.5], inside: true };
  const far = { sphere: { offset: [0, -10, 0], radius: 0 } };
  extend(dresser, {
    VRMC_springBone: {
      specVersion: '1.0',
      colliders: [
        {
          node,
          shape: { capsule: { offset: [0.1, 0.2, 0.3], radius: 0.4, tail: [0.5, 0, -0.1] } },
        },
        { node, shape: far, extensions: { [EXTENDED]: { shape: { plane } } } },
        { node, shape: far, extensions: { [EXTENDED]: { shape: { capsule: inside } } } },
        // Nothing given is the origin, a radius of nothing, and a normal along Z.
        { node, shape: { sphere: {} }, extensions: { [EXTENDED]: { shape: { plane: {} } } } },
      ],
    },
  });
}

interface World {
  readonly places: Vector3[];
  readonly radii: number[];
  readonly normals: Vector3[];
}

function worldOf(stood: Stood): World {
  const [places, radii, normals]: [Vector3[], number[], Vector3[]] = [[], [], []];
  const colliders = at(stood.json, 'extensions', 'VRMC_springBone', 'colliders');
  if (!Array.isArray(colliders)) throw new Error('no colliders');
  for (const collider of colliders as unknown[]) {
    const node = numberAt(collider, 'node');
    const shapes = [at(collider, 'shape')];
    if ('extensions' in (collider as object))
      shapes.push(at(collider, 'extensions', EXTENDED, 'shape'));
    for (const shape of shapes)
      for (const own of Object.values(shape as object) as object[]) {
        for (const key of ['offset', 'tail'])
          if (key in own) places.push(placed(stood, node, vectorAt(own, key)));
        if ('radius' in own) radii.push(numberAt(own, 'radius') * worldScale(stood, node));
        if ('normal' in own) {
          const matrix = new Matrix3().getNormalMatrix(stood.object(node).matrixWorld);
          normals.push(vectorAt(own, 'normal').applyMatrix3(matrix).normalize());
        }
      }
  }
  return { places, radii, normals };
}

function grown(puppet: Puppet): void {
  holderOf(puppet).scale = [0.01, 0.01, 0.01];
  const root = puppet.joints.find(({ parent }) => parent === null);
  if (root !== undefined) root.scale = [25, 25, 25];
  puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
}

type Case = readonly [
  title: string,
  repair: Repair,
  joints: readonly [string, string, string],
  make: (dress: (dresser: Dresser) => void) => Uint8Array,
];

const turnedBy =
  (fault: string) =>
  (dress: (dresser: Dresser) => void): Uint8Array =>
    extended('heron', dress, { faults: [faultNamed(fault)] });

const cases: readonly Case[] = [
  [
    'a shin turned by 180°',
    turnedFrames,
    ['thigh_L', 'shin_L', 'foot_L'],
    turnedBy('flipped-shin'),
  ],
  ['a shin turned by 40°', turnedFrames, ['thigh_L', 'shin_L', 'foot_L'], turnedBy('rolled-shin')],
  [
    'a neck turned off its bone',
    turnedFrames,
    ['neck_bend', 'neck_mid', 'neck_high'],
    turnedBy('crooked-neck'),
  ],
  [
    'a neck scaled three times over',
    scaleUnit,
    ['neck_bend', 'neck_mid', 'neck_high'],
    (dress) => dressed('heron', grown, dress),
  ],
];

describe.each(cases)('%s', (_title, repair, joints, make) => {
  test('leaves colliders of every kind where they are in the world, as large as they are', async () => {
    const bytes = make((dresser) => shapesOn(dresser, joints[1]));
    const mended = await applyRepair(bytes, repair);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    const [before, after] = [await stand(bytes), await stand(mended.bytes)];
    expect(after.json).not.toEqual(before.json);
    const [a, b] = [worldOf(before), worldOf(after)];
    const node = ({ json }: Stood): number =>
      numberAt(json, 'extensions', 'VRMC_springBone', 'colliders', 3, 'node');
    expect([a.places.length, a.radii.length, a.normals.length]).toEqual([7, 4, 1]);
    // The plane that gave no normal, which is Z, gives one as it is turned.
    expect(b.normals.length).toBe(repair === turnedFrames ? 2 : 1);
    const usual = new Vector3(0, 0, 1).applyMatrix3(
      new Matrix3().getNormalMatrix(before.object(node(before)).matrixWorld),
    );
    if (repair === turnedFrames)
      expect(usual.normalize().distanceTo(b.normals[1] ?? new Vector3())).toBeLessThan(SAME);
    a.places.forEach((place, i) => {
      expect(place.distanceTo(b.places[i] ?? place.clone().addScalar(1))).toBeLessThan(10 * SAME);
    });
    a.radii.forEach((radius, i) => {
      expect(b.radii[i]).toBeCloseTo(radius, 5);
    });
    expect(a.normals[0]?.distanceTo(b.normals[0] ?? a.places[0] ?? a.normals[0])).toBeLessThan(
      SAME,
    );
  });

  test('swings as before, by the algorithm of the text', async () => {
    const bytes = make((dresser) => springOn(dresser, joints));
    const mended = await applyRepair(bytes, repair);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    const [before, after] = [await stand(bytes), await stand(mended.bytes)];
    const size = worldOf(before).places[0]?.length() ?? 1;
    const [a, b] = [swing(before, 40), swing(after, 40)];
    expect(a.length).toBe(80);
    // It does swing: else the same would be shown by anything.
    expect(a[0]?.distanceTo(a.at(-2) ?? a[0])).toBeGreaterThan(0.01 * size);
    a.forEach((place, step) => {
      expect(place.distanceTo(b[step] ?? place.clone().addScalar(1))).toBeLessThan(10 * SAME);
    });
  });
});

describe('a collider on the node of a skinned mesh', () => {
  const colliderOn = (dresser: Dresser, node: number): void =>
    extend(dresser, {
      VRMC_springBone: {
        colliders: [{ node, shape: { sphere: { offset: [0.1, 0.2, 0.3], radius: 0.5 } } }],
      },
    });

  test('stays where it is, though nobody looks where the mesh is placed', async () => {
    const bytes = dressed('heron', grown, (dresser) => {
      const { mesh = 0, skin = 0 } = dresser.nodes.find((node) => node.skin !== undefined) ?? {};
      colliderOn(dresser, dresser.hang('neck_mid', { name: 'shade', mesh, skin }));
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect([mended.changes.length, mended.left]).toEqual([3, []]);
    const [a, b] = [worldOf(await stand(bytes)), worldOf(await stand(mended.bytes))];
    expect(a.places[0]?.distanceTo(b.places[0] ?? new Vector3())).toBeLessThan(SAME);
    expect(b.radii[0]).toBeCloseTo(a.radii[0] ?? 0, 5);
  });

  test.each([
    [[2, 2, 2], []],
    [
      [1, 2, 1],
      [
        'a collider (VRMC_springBone) cannot follow "heron", because the node would be scaled unequally',
      ],
    ],
  ])('follows a scale of %j that is cleared, or says why not', async (scale, why) => {
    const bytes = extended('heron', (dresser) => {
      const node = dresser.nodes.findIndex(({ skin }) => skin !== undefined);
      Object.assign(dresser.nodes[node] ?? {}, { name: 'heron', scale, translation: [0, 1, 0] });
      colliderOn(dresser, node);
    });
    const mended = await applyRepair(bytes, meshNodes);
    expect(mended.left.map((item) => item.why)).toEqual(why);
    expect(mended.changes.length).toBe(1 - why.length);
    const [a, b] = [worldOf(await stand(bytes)), worldOf(await stand(mended.bytes))];
    expect(a.places[0]?.distanceTo(b.places[0] ?? new Vector3())).toBeLessThan(SAME);
  });
});

describe('what cannot be carried is told before anything is changed', () => {
  const joint = { name: 'wick', children: [1] };
  const sphere = { sphere: { offset: [0, 1, 0], radius: 1 } };
  const file = (springBone: object): GltfJson => {
    const json = {
      asset: {},
      nodes: [joint, { name: 'flame' }],
      extensions: { VRMC_springBone: springBone },
    };
    return json;
  };
  const spring = { springs: [{ joints: [{ node: 0 }, { node: 1 }] }] };
  const quarter = compose([0, 0, 0], [0, 0, Math.SQRT1_2, Math.SQRT1_2], [1, 1, 1]);
  const scaled = (x: number, y: number, z: number) => compose([0, 0, 0], [0, 0, 0, 1], [x, y, z]);

  test.each([
    [
      'an unequal scale under a ball',
      file({ colliders: [{ node: 0, shape: sphere }] }),
      scaled(1, 2, 1),
      'a collider (VRMC_springBone) cannot follow "wick", because the node would be scaled unequally',
    ],
    [
      'an offset that is no place',
      file({ colliders: [{ node: 0, shape: { sphere: { offset: [0, 'up', 0] } } }] }),
      quarter,
      'a collider (VRMC_springBone) has no readable "offset" that could follow "wick"',
    ],
    [
      'a spring that is mirrored',
      file(spring),
      scaled(-1, -1, -1),
      'a spring (VRMC_springBone) swings "wick", whose frame is mirrored, and it is not specified what that does',
    ],
    [
      'a spring that moves',
      file(spring),
      compose([0, 1, 0], [0, 0, 0, 1], [1, 1, 1]),
      'a spring (VRMC_springBone) hangs on "wick", which would move',
    ],
    [
      'a limit by the axes of a frame',
      file({ springs: [{ joints: [{ node: 0, extensions: { VRMC_springBone_limit: {} } }] }] }),
      quarter,
      'VRMC_springBone_limit limits "wick" by the axes of its frame',
    ],
  ])('%s', (_title, json, frame, why) => {
    const before = JSON.stringify(json);
    expect(whyNotCarried(json, new Map([[0, frame]]))).toBe(why);
    expect(notCarried(json, new Map([[0, frame]])).map(({ nodes }) => nodes)).toEqual([[0]]);
    expect(JSON.stringify(json)).toBe(before);
    // Of another node, the same change is none of its business.
    expect(whyNotCarried(json, new Map([[2, frame]]))).toBeNull();
  });

  test('a collider follows a mirrored frame, since a ball is its own mirror image', () => {
    expect(
      whyNotCarried(
        file({ colliders: [{ node: 0, shape: sphere }] }),
        new Map([[0, scaled(-2, -2, -2)]]),
      ),
    ).toBeNull();
  });
});
