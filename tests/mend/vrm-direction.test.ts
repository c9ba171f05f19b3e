// Sources: VRM 0.x of vrm-c/vrm-specification, `specification/0.0/README.md`, VRM rules: a model faces -Z, and
// its bones have no rotation at rest; VRM 1.0, `tpose.md`: it faces +Z. three.js (npm `three`) for where nodes
// stand.
import { join } from 'node:path';
import { Matrix4, Quaternion, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { tempFolder } from '../support/temp-folder.js';
import { loadPlain } from '../support/three-plain.js';
import { type Dresser, dressed } from './dressed.js';

const EVERYTHING = [...new Set(REPAIRS.flatMap((repair) => repair.rules))];

const asked: MendOptions = {
  ...{ also: EVERYTHING, allow: EVERYTHING, resample: true, restFrom: 'bind' },
};

/** The marionette as VRM, which the fixtures turn round where the version asks for it. */
function marionette(version: '0.x' | '1.0', dress: (dresser: Dresser) => void): Uint8Array {
  return dressed('marionette', () => undefined, dress, { vrm: version });
}

interface Bones {
  readonly facing: Vector3;
  /** Of each bone: where it stands, and how it is turned against its parent at rest. */
  readonly bones: ReadonlyMap<string, { readonly place: Vector3; readonly turn: Quaternion }>;
  /** All that the extension says. */
  readonly extension: unknown;
}

/** Where a model faces: to whoever has its left at +X and its head at +Y, it faces +Z. */
async function bonesOf(bytes: Uint8Array): Promise<Bones> {
  const { json } = splitGlb(bytes);
  const { VRM, VRMC_vrm } = (json as { extensions?: Record<string, unknown> }).extensions ?? {};
  const { humanBones } = ((VRM ?? VRMC_vrm) as { humanoid: { humanBones: unknown } }).humanoid;
  const mapping: [string, number][] = Array.isArray(humanBones)
    ? humanBones.map(({ bone, node }): [string, number] => [bone, node])
    : Object.entries(humanBones as Record<string, { node: number }>).map(([bone, { node }]) => [
        bone,
        node,
      ]);
  const { nodes } = await loadPlain(bytes);
  const bones = new Map(
    mapping.map(([bone, node]) => {
      const object = nodes.get(node);
      if (object === undefined) throw new Error(`${bone} is gone`);
      return [bone, { place: object.getWorldPosition(new Vector3()), turn: object.quaternion }];
    }),
  );
  const at = (bone: string): Vector3 => bones.get(bone)?.place ?? new Vector3(Number.NaN);
  const left = at('leftUpperLeg').clone().sub(at('rightUpperLeg'));
  const up = at('head').clone().sub(at('hips'));
  return { facing: left.cross(up).normalize(), bones, extension: VRM ?? VRMC_vrm };
}

async function mended(bytes: Uint8Array, options: MendOptions) {
  const path = join(tempFolder({ 'puppet.vrm': bytes }), 'puppet.vrm');
  const result = await mendAsset(path, defaultSettings(rules), REPAIRS, options);
  expect(result.offending).toBeNull();
  return result;
}

/** Hangs all roots below a node that is turned about Y. */
function heldAt(degrees: number) {
  return ({ json, nodes }: Dresser): void => {
    const half = (degrees * Math.PI) / 360;
    const [scene] = json.scenes;
    if (scene === undefined) throw new Error('a scene was there');
    const children = [...scene.nodes];
    const rotation = [0, Math.sin(half), 0, Math.cos(half)];
    scene.nodes.splice(
      0,
      children.length,
      nodes.push({ name: 'turntable', rotation, children }) - 1,
    );
  };
}

const still = (): void => undefined;

/** Makes the whole rig half as large by its roots. */
function shrunk({ json, nodes }: Dresser): void {
  for (const root of json.scenes[0]?.nodes ?? []) {
    const node = nodes[root] ?? {};
    const [x = 0, y = 0, z = 0] = node.translation ?? [];
    Object.assign(node, { translation: [x / 2, y / 2, z / 2], scale: [0.5, 0.5, 0.5] });
  }
}

/** Gives all joints the axes of the scene, as VRM 0.x asks for, each where it stands; without clips. */
function withoutRest(dresser: Dresser): void {
  const { json, nodes } = dresser;
  delete json.animations;
  const [skin] = json.skins ?? [];
  if (skin === undefined) throw new Error('a skin was there');
  const matrices = dresser.floatsOf(skin.inverseBindMatrices);
  // The bind pose is the stored one: the places of joints are those of their bind matrices.
  const places = new Map(
    skin.joints.map((joint, slot) => {
      const inverse = new Matrix4().fromArray(matrices, 16 * slot);
      return [joint, new Vector3().setFromMatrixPosition(inverse.invert())];
    }),
  );
  for (const [slot, joint] of skin.joints.entries()) {
    const place = places.get(joint) ?? new Vector3();
    const parent = nodes.findIndex(({ children }) => children?.includes(joint) === true);
    const from = places.get(parent) ?? new Vector3();
    const node = nodes[joint] ?? {};
    Object.assign(node, { translation: place.clone().sub(from).toArray() });
    delete (node as { rotation?: unknown }).rotation;
    matrices.set(new Matrix4().makeTranslation(place.clone().negate()).toArray(), 16 * slot);
  }
}

describe.each([
  ['0.x', -1],
  ['1.0', 1],
] as const)('a model of VRM %s', (version, side) => {
  it.each<[string, (dresser: Dresser) => void, number]>([
    ['as it is built', still, 1],
    ['below a node that turns it round', heldAt(180), -1],
    ['below a node that turns it a little', heldAt(30), 0.8],
    ['of another size', shrunk, 1],
  ])('%s faces where it faced, whatever is mended', async (_, dress, along) => {
    const bytes = marionette(version, dress);
    const before = await bonesOf(bytes);
    expect(Math.sign(along) * side * before.facing.z).toBeGreaterThan(0.8);
    for (const options of [{}, asked]) {
      const { files } = await mended(bytes, options);
      const after = await bonesOf(Buffer.from(files.main));
      expect(after.facing.distanceTo(before.facing)).toBeLessThan(1e-5);
      expect([...after.bones.keys()]).toEqual([...before.bones.keys()]);
      const moved = [...after.bones].filter(
        ([bone, { place }]) => !((before.bones.get(bone)?.place.distanceTo(place) ?? 1) < 1e-5),
      );
      expect(moved.map(([bone]) => bone)).toEqual([]);
      expect(after.extension).toEqual(before.extension);
    }
  });
});

it.each([
  ['0.x', false],
  ['1.0', true],
] as const)(
  'joints without a rotation at rest, below a node that turns all round: in VRM %s one may take that over: %s',
  async (version, mayTurn) => {
    const bytes = marionette(version, (dresser) => {
      withoutRest(dresser);
      heldAt(180)(dresser);
    });
    const turnedIn = ({ bones }: Bones): string[] =>
      [...bones].flatMap(([bone, { turn }]) =>
        turn.angleTo(new Quaternion()) > 1e-6 ? [bone] : [],
      );
    const before = await bonesOf(bytes);
    expect(turnedIn(before)).toEqual([]);
    const { files, left } = await mended(bytes, asked);
    const after = await bonesOf(Buffer.from(files.main));
    expect(turnedIn(after)).toEqual([]);
    // Where that may be, the joint above the hips takes over what the node loses.
    const stage = splitGlb(Buffer.from(files.main)).json.nodes.find(
      ({ name }) => name === 'turntable',
    );
    expect(stage?.rotation === undefined).toBe(mayTurn);
    expect(after.facing.distanceTo(before.facing)).toBeLessThan(1e-5);
    const why = /is a bone of VRM 0.x, which must have no rotation at rest/;
    expect(left.some((item) => item.rule === 'rest.holder' && why.test(item.why))).toBe(!mayTurn);
  },
);
