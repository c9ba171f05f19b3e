import { type Affine, fromTrs, inverse, toMatrix } from '../../fixtures/kit/affine.js';
import { ByteWriter } from '../../fixtures/kit/byte-writer.js';
import { glb } from '../../fixtures/kit/containers.js';
import type { GltfJson, GltfNode } from '../../fixtures/kit/gltf-json.js';
import type { Influence, MeshPart } from '../../fixtures/kit/mesh-part.js';
import { tubePart } from '../../fixtures/kit/tube.js';
import {
  compose,
  inverseTurn,
  noTurn,
  type Quat,
  turned,
  turnOf,
} from '../../fixtures/kit/turns.js';
import { cross, subtract, type Vec3 } from '../../fixtures/kit/vectors.js';

/** One joint of a rig made for a single test. World space, bind pose. */
export interface TinyJoint {
  /** Null for none. */
  readonly name: string | null;
  /** Index of the parent, -1 for none. Parents stand before children. */
  readonly parent: number;
  readonly at: Vec3;
  /** No turn when absent. */
  readonly turn?: Quat;
}

/** Skin whose influences name joints by their index. */
export type TinySkin = Pick<MeshPart, 'positions' | 'triangles' | 'influences'>;

/** The JSON of a rig of a few joints and one skin, and its buffer. The mesh node comes last. */
export function tinyJson(
  joints: readonly TinyJoint[],
  skin: TinySkin | null,
): { json: GltfJson; buffer: Uint8Array } {
  const tops = joints.flatMap((joint, index) => (joint.parent === -1 ? [index] : []));
  const json: GltfJson = {
    asset: { version: '2.0', generator: 'lantern theatre tests' },
    scene: 0,
    scenes: [{ name: 'theatre', nodes: [...tops, joints.length] }],
    nodes: joints.map((joint, index) => nodeOf(joints, joint, index)),
    accessors: [],
    bufferViews: [],
    buffers: [],
  };
  const writer = new ByteWriter(json);
  const binds = joints.flatMap(({ at, turn }) => toMatrix(inverse(placeOf(at, turn))));
  json.skins = [
    {
      name: 'hide',
      joints: joints.map((_, index) => index),
      inverseBindMatrices: writer.accessor(binds, 'MAT4', 'float'),
    },
  ];
  if (skin !== null) {
    const vertex = { target: 34962 };
    const attributes: Record<string, number> = {
      POSITION: writer.accessor(skin.positions.flat(), 'VEC3', 'float', {
        ...vertex,
        bounds: true,
      }),
    };
    const longest = skin.influences.reduce((most, list) => Math.max(most, list.length), 1);
    const sets = Math.ceil(longest / 4);
    for (let set = 0; set < sets; set += 1) {
      const own = skin.influences.map((list) => list.slice(4 * set, 4 * set + 4));
      const slots = own.flatMap((list) => padded(list.map(([joint]) => Number(joint))));
      const weights = own.flatMap((list) => padded(list.map(([, weight]) => weight)));
      attributes[`JOINTS_${set}`] = writer.accessor(slots, 'VEC4', 'u16', vertex);
      attributes[`WEIGHTS_${set}`] = writer.accessor(weights, 'VEC4', 'float', vertex);
    }
    const indices = writer.accessor(skin.triangles.flat(), 'SCALAR', 'u32', { target: 34963 });
    json.meshes = [{ name: 'hide', primitives: [{ attributes, indices, mode: 4 }] }];
    json.nodes.push({ name: 'hide', mesh: 0, skin: 0 });
  } else {
    json.nodes.push({ name: 'empty stage' });
  }
  const buffer = writer.finish();
  json.buffers = [{ byteLength: buffer.length }];
  return { json, buffer };
}

/** The same as a GLB, the JSON changed by `edit` first. */
export function tinyGlb(
  joints: readonly TinyJoint[],
  skin: TinySkin | null,
  edit: (json: GltfJson) => void = () => undefined,
): Uint8Array {
  const { json, buffer } = tinyJson(joints, skin);
  edit(json);
  return glb(JSON.stringify(json), buffer);
}

/** A chain of joints, each the child of the one before. */
export function chainJoints(points: readonly Vec3[], turns: readonly Quat[] = []): TinyJoint[] {
  return points.map((at, index) => {
    const turn = turns[index];
    return { name: `rod ${index + 1}`, parent: index - 1, at, ...(turn ? { turn } : {}) };
  });
}

/** A closed tube about a run of points, each stretch moved by the joint at its start. */
export function tubeSkin(points: readonly Vec3[], radius: number, up: Vec3): TinySkin {
  const movers = points.slice(1).map((_, index) => String(index));
  return byIndex(
    tubePart({
      name: 'hide',
      points,
      radii: points.map(() => radius),
      movers,
      caps: ['0', String(points.length - 1)],
      up,
      around: 8,
      slices: [0, 1 / 3, 2 / 3],
    }),
  );
}

/** A part whose joints are named by their index, with the names made indices. */
function byIndex(part: MeshPart): TinySkin {
  const influences = part.influences.map((list) =>
    list.map(([joint, weight]): Influence => [Number(joint), weight]),
  );
  return { positions: part.positions, triangles: part.triangles, influences };
}

/** Two-sided squares, one about each place, each moved by its own joint alone. */
export function cardSkin(places: readonly Vec3[], edge = 0.02): TinySkin {
  const h = edge / 2;
  const corners: readonly Vec3[] = [
    [-h, -h, 0],
    [h, -h, 0],
    [h, h, 0],
    [-h, h, 0],
  ];
  return {
    positions: places.flatMap(([x, y, z]) =>
      corners.map((corner): Vec3 => [x + corner[0], y + corner[1], z + corner[2]]),
    ),
    triangles: places.flatMap((_, card): [number, number, number][] => {
      const v = 4 * card;
      return [
        [v, v + 1, v + 2],
        [v, v + 2, v + 3],
        [v, v + 2, v + 1],
        [v, v + 3, v + 2],
      ];
    }),
    influences: places.flatMap((_, card) => corners.map((): Influence[] => [[card, 1]])),
  };
}

/** The turn of a frame whose X looks along `aim` and whose Y along `up`, unit and square. */
export function aimXupY(aim: Vec3, up: Vec3): Quat {
  return turnOf([aim, up, cross(aim, up)]);
}

function nodeOf(joints: readonly TinyJoint[], joint: TinyJoint, index: number): GltfNode {
  const above = joints[joint.parent];
  const back = inverseTurn(above?.turn ?? noTurn);
  const children = joints.flatMap((other, child) => (other.parent === index ? [child] : []));
  return {
    ...(joint.name === null ? {} : { name: joint.name }),
    translation: [...turned(back, subtract(joint.at, above?.at ?? [0, 0, 0]))],
    rotation: [...compose(back, joint.turn ?? noTurn)],
    ...(children.length > 0 ? { children } : {}),
  };
}

function placeOf(at: Vec3, turn: Quat = noTurn): Affine {
  return fromTrs(at, turn, [1, 1, 1]);
}

function padded(values: readonly number[]): number[] {
  return [0, 1, 2, 3].map((slot) => values[slot] ?? 0);
}
