import { Quaternion } from 'three';
import { type Dresser, dressed } from './dressed.js';

/** How large the heron with many faces is to be. */
export interface Much {
  /** How often its mesh is there, one copy on the other. */
  readonly copies: number;
  readonly targets: number;
  /** Keys of every joint, and of the weights of all targets. */
  readonly keys: number;
  /** Half angle that each joint swings by, in radians. */
  readonly swing?: number;
  /** How far a morph target takes vertices, in metres. */
  readonly reach?: number;
  /** How far from the origin the mesh is stored, which float32 then rounds more coarsely. */
  readonly away?: number;
  /** Degrees by which the neck is stored bent against the pose that the mesh is bound in. */
  readonly bent?: number;
}

/** The heron with normals and many morph targets, in a clip that turns every joint and weighs every target. */
export function manyTargets({
  copies,
  targets,
  keys,
  swing = 0.2,
  reach = 0.02,
  away = 0,
  bent = 0,
}: Much): Uint8Array {
  return dressed(
    'heron',
    (puppet) => {
      if (bent !== 0) puppet.pose('neck_mid', 'up', bent);
    },
    (dresser) => {
      repeatVertices(dresser, copies);
      storeAway(dresser, away);
      const { json, nodes } = dresser;
      const [primitive] = json.meshes?.[0]?.primitives ?? [];
      const count = json.accessors[primitive?.attributes.POSITION ?? 0]?.count ?? 0;
      const list = (made: (at: number) => number): number => {
        const values = Float32Array.from({ length: 3 * count }, (_, at) => made(at));
        // Positions of targets have bounds (glTF 2.0, 3.7.2.2).
        const [min, max] = [
          values.reduce((a, b) => Math.min(a, b)),
          values.reduce((a, b) => Math.max(a, b)),
        ];
        return dresser.accessor(values, 'VEC3', { min: [min, min, min], max: [max, max, max] });
      };
      Object.assign(primitive?.attributes ?? {}, {
        NORMAL: list((at) => Math.sin(0.7 * (at + 1))),
      });
      const moves = Array.from({ length: targets }, (_, target) => ({
        POSITION: list((at) => reach * Math.sin((0.3 + 0.01 * target) * (at + 1))),
        NORMAL: list((at) => 0.1 * Math.sin((0.2 + 0.01 * target) * (at + 1))),
      }));
      Object.assign(primitive ?? {}, { targets: moves });
      Object.assign(json.meshes?.[0] ?? {}, { weights: moves.map(() => 0) });
      const times = Array.from({ length: keys }, (_, key) => key / 30);
      json.animations = [{ name: 'play', samplers: [], channels: [] }];
      const joints = json.skins?.[0]?.joints ?? [];
      for (const [at, joint] of joints.entries())
        dresser.key(joint, 'rotation', times, swung(dresser, joint, at, keys, swing), 'LINEAR');
      if (targets === 0) return;
      const shares = Float32Array.from({ length: targets * keys }, (_, at) =>
        Math.max(0, Math.sin(at)),
      );
      const mesh = nodes.findIndex((node) => node.mesh === 0);
      dresser.key(mesh, 'weights', times, dresser.accessor(shares, 'SCALAR'), 'LINEAR');
    },
  );
}

/** Rotations that swing a joint about where it is stored. */
function swung(dresser: Dresser, joint: number, at: number, keys: number, most: number): number {
  const { x, y, z, w } = new Quaternion(...(dresser.nodes[joint]?.rotation ?? []));
  const values = Array.from({ length: keys }, (_, key) => {
    const half = most * Math.sin(0.1 * key + at);
    const turn = new Quaternion(Math.sin(half), 0, 0, Math.cos(half));
    return new Quaternion(x, y, z, w).multiply(turn).toArray();
  });
  return dresser.accessor(Float32Array.from(values.flat()), 'VEC4');
}

/** Moves the vertices along X, and the bind matrices back: nothing is seen of it. */
function storeAway(dresser: Dresser, away: number): void {
  const { meshes, skins } = dresser.json;
  const positions = dresser.floatsOf(meshes?.[0]?.primitives[0]?.attributes.POSITION ?? -1);
  for (let at = 0; at < positions.length; at += 3) positions[at] = (positions[at] ?? 0) + away;
  const matrices = dresser.floatsOf(skins?.[0]?.inverseBindMatrices ?? -1);
  for (let at = 0; at < matrices.length; at += 16)
    for (let row = at; row < at + 3; row++)
      matrices[row + 12] = (matrices[row + 12] ?? 0) - away * (matrices[row] ?? 0);
}

/** Gives the only primitive all its vertices several times. */
function repeatVertices(dresser: Dresser, copies: number): void {
  const { json } = dresser;
  for (const index of Object.values(json.meshes?.[0]?.primitives[0]?.attributes ?? {})) {
    const accessor = json.accessors[index];
    const bytes = dresser.bytesOf(index);
    const all = Uint8Array.from(
      { length: copies * bytes.length },
      (_, at) => bytes[at % bytes.length] ?? 0,
    );
    const bufferView = dresser.view(all);
    Object.assign(accessor ?? {}, {
      bufferView,
      byteOffset: 0,
      count: copies * (accessor?.count ?? 0),
    });
  }
}
