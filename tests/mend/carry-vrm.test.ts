// Sources: VRM 1.0 of vrm-c/vrm-specification (`lookAt.md`, LookAt space, Apply Yaw and Pitch to bone;
// `humanoid.md`), VRM 0.x (`specification/0.0/README.md`, VRM rules; its collider group schema, `offset`: "in
// left-handed Y-up coordinate"); three.js (npm `three`) for where nodes stand.
import { Quaternion, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { Editable } from '../../src/mend/file/editable.js';
import { turnToConvention } from '../../src/mend/frames/convention.js';
import { reload } from '../../src/mend/proof/reload.js';
import { meshNodes } from '../../src/mend/repairs/mesh-nodes.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import { compose } from '../../src/rig/mat4.js';
import { type Applied, applyRepair } from './apply-repair.js';
import {
  apart,
  at,
  numberAt,
  placed,
  SAME,
  type Stood,
  stand,
  vectorAt,
  worldScale,
} from './carried.js';
import { type Dresser, dressed } from './dressed.js';
import { whyNotCarried } from './why-not-carried.js';

const still = (): void => undefined;

function swell(puppet: Puppet): void {
  puppet.joint('spine_mid').scale = [1.6, 1.6, 1.6];
  puppet.joint('head').scale = [0.5, 0.5, 0.5];
}

async function convention(bytes: Uint8Array): Promise<Pick<Applied, 'bytes' | 'changes' | 'left'>> {
  const edit = await Editable.fromBytes(bytes);
  const model = buildRigs(await reload(edit.files(), null));
  const mended = turnToConvention({ edit, model }, { index: 0, sign: 1 }, { index: 1, sign: 1 });
  return { ...mended, bytes: edit.files().main };
}

/** Adds to the extension that the fixtures wrote. */
function add(dresser: Dresser, name: 'VRM' | 'VRMC_vrm', more: object): void {
  Object.assign(at(dresser.json, 'extensions', name) as object, more);
}

const scaled = async (bytes: Uint8Array): Promise<Applied> => applyRepair(bytes, scaleUnit);

describe('VRM 1.0', () => {
  const looking =
    (type: string) =>
    (dresser: Dresser): void =>
      add(dresser, 'VRMC_vrm', {
        lookAt: { type, offsetFromHeadBone: [0.01, 0.06, 0.08] },
        firstPerson: { meshAnnotations: [{ node: dresser.named('hips'), type: 'auto' }] },
        expressions: {
          preset: { happy: { morphTargetBinds: [{ node: 1, index: 0, weight: 1 }] } },
        },
      });

  test.each([
    ['turned to another convention', still, convention],
    ['freed of scales', swell, scaled],
  ] as const)('%s, eyes look from where they looked', async (_title, change, mend) => {
    const bytes = dressed('marionette', change, looking('expression'), { vrm: '1.0' });
    const mended = await mend(bytes);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    const [before, after] = [await stand(bytes), await stand(mended.bytes)];
    const from = (stood: Stood): Vector3 =>
      placed(
        stood,
        head,
        vectorAt(stood.json, 'extensions', 'VRMC_vrm', 'lookAt', 'offsetFromHeadBone'),
      );
    const head = numberAt(
      before.json,
      'extensions',
      'VRMC_vrm',
      'humanoid',
      'humanBones',
      'head',
      'node',
    );
    const given = (stood: Stood): Vector3 =>
      vectorAt(stood.json, 'extensions', 'VRMC_vrm', 'lookAt', 'offsetFromHeadBone');
    expect(given(after).distanceTo(given(before))).toBeGreaterThan(0.01);
    expect(from(after).distanceTo(from(before))).toBeLessThan(SAME);
    // However the body is turned, it stays so, and the axes of looking with it.
    const space = (stood: Stood): Quaternion =>
      stood
        .object(head)
        .getWorldQuaternion(new Quaternion())
        .multiply((stood.rest.get(head) ?? new Quaternion()).clone().invert());
    const nod = new Quaternion(0.2, 0.3, -0.1, 0.9).normalize();
    for (const stood of [before, after]) {
      const { object } = stood;
      const parent = object(head).parent?.getWorldQuaternion(new Quaternion()) ?? new Quaternion();
      const rest = stood.rest.get(head) ?? new Quaternion();
      object(head).quaternion.copy(parent.invert().multiply(nod).multiply(rest));
      object(head).updateWorldMatrix(true, true);
    }
    expect(apart(space(before), nod)).toBeLessThan(SAME);
    expect(apart(space(before), space(after))).toBeLessThan(SAME);
    expect(from(after).distanceTo(from(before))).toBeLessThan(SAME);
    // All else stays to the letter.
    const [a, b] = [before, after].map(({ json }) => structuredClone(at(json, 'extensions')));
    for (const item of [a, b])
      delete (at(item, 'VRMC_vrm', 'lookAt') as Record<string, unknown>).offsetFromHeadBone;
    expect(b).toEqual(a);
  });

  test('eyes that are turned by the axes of their bones keep those of the bone above', async () => {
    const bytes = dressed(
      'marionette',
      still,
      (dresser) => {
        looking('bone')(dresser);
        const eye = dresser.hang('head', { name: 'eye', translation: [0.03, 0.05, 0.08] });
        Object.assign(
          at(dresser.json, 'extensions', 'VRMC_vrm', 'humanoid', 'humanBones') as object,
          {
            leftEye: { node: eye },
          },
        );
      },
      { vrm: '1.0' },
    );
    const mended = await convention(bytes);
    expect([mended.changes, mended.left.map(({ why }) => why)]).toEqual([
      [],
      [
        'it cannot be turned as a whole: eyes turn (VRMC_vrm) about the axes of "head", which would be turned',
      ],
    ]);
    expect(Buffer.from(mended.bytes).equals(Buffer.from(bytes))).toBe(true);
  });

  test('a humanoid bone stays in its place', () => {
    const json = {
      nodes: [{ name: 'hips' }],
      extensions: { VRMC_vrm: { humanoid: { humanBones: { hips: { node: 0 } } } } },
    };
    const moved = new Map([[0, compose([0, 0.1, 0], [0, 0, 0, 1], [1, 1, 1])]]);
    expect(whyNotCarried(json, moved)).toBe(
      '"hips" is a humanoid bone (VRMC_vrm), which would move',
    );
    const turned = new Map([[0, compose([0, 0, 0], [0.6, 0, 0, 0.8], [1, 1, 1])]]);
    expect(whyNotCarried(json, turned)).toBeNull();
  });
});

describe('VRM 0.x', () => {
  const NAMES = ['VRM', 'secondaryAnimation', 'colliderGroups'] as const;
  const stones = (node: number, more: object = {}): object => ({
    secondaryAnimation: {
      boneGroups: [],
      colliderGroups: [
        {
          node,
          colliders: [
            { offset: { x: 0.1, y: 0.2, z: 0.3 }, radius: 0.25 },
            { offset: { x: 0, y: 0, z: -0.4 } },
          ],
        },
      ],
      ...more,
    },
  });

  /** Places and radii in the world, the coordinates of the file being those of glTF with Z reversed. */
  function worldOf(stood: Stood): { places: Vector3[]; radius: number } {
    const group = [...NAMES, 0] as const;
    const node = numberAt(stood.json, 'extensions', ...group, 'node');
    const places = [0, 1].map((index) => {
      const part = (axis: string): number =>
        numberAt(stood.json, 'extensions', ...group, 'colliders', index, 'offset', axis);
      return placed(stood, node, new Vector3(part('x'), part('y'), -part('z')));
    });
    const radius = numberAt(stood.json, 'extensions', ...group, 'colliders', 0, 'radius');
    return { places, radius: radius * worldScale(stood, node) };
  }

  async function same(bytes: Uint8Array, mended: Applied): Promise<void> {
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    const [before, after] = [await stand(bytes), await stand(mended.bytes)];
    expect(at(after.json, 'extensions', ...NAMES)).not.toEqual(
      at(before.json, 'extensions', ...NAMES),
    );
    const [a, b] = [worldOf(before), worldOf(after)];
    a.places.forEach((place, i) => {
      expect(place.distanceTo(b.places[i] ?? place.clone().addScalar(1))).toBeLessThan(SAME);
    });
    expect(b.radius).toBeCloseTo(a.radius, 6);
  }

  test('colliders stay where scales are taken off, and so does the view of the first person', async () => {
    const bytes = dressed(
      'marionette',
      swell,
      (dresser) =>
        add(dresser, 'VRM', {
          ...stones(dresser.named('head')),
          firstPerson: { firstPersonBone: -1, firstPersonBoneOffset: { x: 0.02, y: 0.06, z: 0.1 } },
        }),
      { vrm: '0.x' },
    );
    const mended = await scaled(bytes);
    await same(bytes, mended);
    const first = ['extensions', 'VRM', 'firstPerson', 'firstPersonBoneOffset'] as const;
    const [before, after] = [await stand(bytes), await stand(mended.bytes)];
    const head = before.json.nodes?.findIndex(({ name }) => name === 'head') ?? -1;
    const sizes = [before, after].map(
      (stood) => numberAt(stood.json, ...first, 'z') * worldScale(stood, head),
    );
    expect(sizes[1]).toBeCloseTo(sizes[0] ?? 0, 8);
  });

  test('colliders stay where a node is turned that is no bone, left-handed as they are', async () => {
    const bytes = dressed(
      'marionette',
      still,
      (dresser) => {
        const node = dresser.nodes.findIndex(({ skin }) => skin !== undefined);
        Object.assign(dresser.nodes[node] ?? {}, {
          rotation: [0.36, 0.48, 0, 0.8],
          translation: [0.5, 1, -0.25],
        });
        add(dresser, 'VRM', stones(node));
      },
      { vrm: '0.x' },
    );
    await same(bytes, await applyRepair(bytes, meshNodes));
  });

  test('bones are not turned', async () => {
    const mended = await convention(dressed('marionette', still, still, { vrm: '0.x' }));
    expect([mended.changes, mended.left.map(({ why }) => why)]).toEqual([
      [],
      [
        'it cannot be turned as a whole: "hips" is a humanoid bone of VRM 0.x, and VRM 0.x poses it as if it had no rotation at rest, so its frame cannot be turned',
      ],
    ]);
  });

  test('a joint that is no humanoid bone can lose a rotation at rest, not be given one', () => {
    const json = (rotation: number[]) => ({
      nodes: [{ name: 'ribbon', rotation }],
      skins: [{ joints: [0] }],
      extensions: { VRM: {} },
    });
    const turn = new Map([[0, compose([0, 0, 0], [-0.6, 0, 0, 0.8], [1, 1, 1])]]);
    expect(whyNotCarried(json([0.6, 0, 0, 0.8]), turn)).toBeNull();
    expect(whyNotCarried(json([0, 0, 0, 1]), turn)).toBe(
      '"ribbon" is a bone of VRM 0.x, which must have no rotation at rest, but the mend would give it one',
    );
  });

  test('the view of the first person does not follow a turn, since its axes are not said', () => {
    const firstPerson = { firstPersonBone: 0, firstPersonBoneOffset: { x: 0, y: 0.1, z: 0.1 } };
    const json = { nodes: [{ name: 'lamp' }], extensions: { VRM: { firstPerson } } };
    const turned = new Map([[0, compose([0, 0, 0], [0.6, 0, 0, 0.8], [1, 1, 1])]]);
    expect(whyNotCarried(json, turned)).toBe(
      'the first-person view (VRM) is relative to the frame of "lamp", which would be turned, and its axes are not specified',
    );
    const half = new Map([[0, compose([0, 0, 0], [0, 0, 0, 1], [0.5, 0.5, 0.5])]]);
    expect(whyNotCarried(json, half)).toBeNull();
  });

  test.each([
    [
      'what swings keeps its scale where it hits something',
      { boneGroups: [{ bones: [0], hitRadius: 0.02 }] },
      'a spring (VRM) has a hitRadius on "fringe", whose scale would change, and it is not specified whether the radius changes with it',
    ],
    ['what swings freely may lose it', { boneGroups: [{ bones: [0], hitRadius: 0 }] }, null],
  ])('%s', (_title, secondaryAnimation, why) => {
    const json = {
      nodes: [{ name: 'ribbon', children: [1] }, { name: 'fringe' }],
      extensions: { VRM: { secondaryAnimation } },
    };
    const half = new Map([[1, compose([0, 0, 0], [0, 0, 0, 1], [0.5, 0.5, 0.5])]]);
    expect(whyNotCarried(json, half)).toBe(why);
  });
});
