import fc from 'fast-check';
import { type Affine, chained, fromTrs, inverse, toMatrix } from '../../fixtures/kit/affine.js';
import { ByteWriter } from '../../fixtures/kit/byte-writer.js';
import { glb } from '../../fixtures/kit/containers.js';
import type { GltfJson, GltfNode } from '../../fixtures/kit/gltf-json.js';
import type { Quat } from '../../fixtures/kit/turns.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';

/** A joint, or a holder above all of them, as it is stored. */
interface Placed {
  readonly move: Vec3;
  readonly turn: Quat;
  readonly scale: Vec3;
}

interface Keyed {
  readonly joint: number;
  readonly path: 'translation' | 'rotation' | 'scale';
  readonly interpolation: 'LINEAR' | 'STEP' | 'CUBICSPLINE';
  /** Numbers from -1 to 1, as many as three keys of a spline of turns may take. */
  readonly noise: readonly number[];
}

/** A rig that nobody built, of whatever tree, frames and scales, and clips that move some of it. */
export interface RandomRig {
  readonly holder: Placed;
  readonly joints: readonly (Placed & { readonly parent: number })[];
  readonly keyed: readonly Keyed[];
  /** Joint that a lantern hangs on. */
  readonly lantern: number;
}

const unit = fc.double({ min: -1, max: 1, noNaN: true });
const turn = fc
  .tuple(unit, unit, unit, fc.double({ min: 0.05, max: 1, noNaN: true }))
  .map(([x, y, z, w]): Quat => {
    const size = Math.hypot(x, y, z, w);
    return [x / size, y / size, z / size, w / size];
  });
const move = fc.tuple(unit, unit, unit).map(([x, y, z]): Vec3 => [0.3 * x, 0.4 + 0.3 * y, 0.3 * z]);
const factor = fc.double({ min: 0.5, max: 2, noNaN: true });
const scale = fc.oneof(
  { weight: 6, arbitrary: fc.constant<Vec3>([1, 1, 1]) },
  { weight: 2, arbitrary: factor.map((by): Vec3 => [by, by, by]) },
  { weight: 1, arbitrary: fc.tuple(factor, factor, factor) },
  { weight: 1, arbitrary: factor.map((by): Vec3 => [-by, by, by]) },
);
const placed = fc.record({ move, turn, scale });

export const randomRig: fc.Arbitrary<RandomRig> = fc.integer({ min: 2, max: 9 }).chain((count) =>
  fc.record({
    holder: placed,
    joints: fc.tuple(
      ...Array.from({ length: count }, (_, at) =>
        fc
          .tuple(placed, fc.nat({ max: Math.max(0, at - 1) }))
          .map(([own, parent]) => ({ ...own, parent: at === 0 ? -1 : parent })),
      ),
    ),
    keyed: fc.uniqueArray(
      fc.record({
        joint: fc.nat({ max: count - 1 }),
        path: fc.constantFrom('translation', 'rotation', 'rotation', 'scale'),
        interpolation: fc.constantFrom('LINEAR', 'STEP', 'CUBICSPLINE'),
        noise: fc.array(unit, { minLength: 36, maxLength: 36 }),
      }),
      { maxLength: 4, selector: ({ joint, path }) => `${joint} ${path}` },
    ),
    lantern: fc.nat({ max: count - 1 }),
  }),
);

/** The rig as a file: a box of vertices about each joint, blended with its parent's. */
export function randomGlb({ holder, joints, keyed, lantern }: RandomRig): Uint8Array {
  const first = 1;
  const json: GltfJson = {
    asset: { version: '2.0', generator: 'lantern theatre tests' },
    scene: 0,
    scenes: [{ name: 'theatre', nodes: [0, joints.length + 1] }],
    nodes: [],
    accessors: [],
    bufferViews: [],
    buffers: [],
  };
  const writer = new ByteWriter(json);
  const worlds: Affine[] = [];
  const stage = fromTrs(holder.move, holder.turn, holder.scale);
  for (const { parent, move: at, turn: by, scale: size } of joints)
    worlds.push(chained(worlds[parent] ?? stage, fromTrs(at, by, size)));
  const childrenOf = (own: number): number[] =>
    joints.flatMap(({ parent }, at) => (parent === own ? [first + at] : []));
  const nodeOf = (name: string, { move: at, turn: by, scale: size }: Placed): GltfNode => ({
    name,
    translation: [...at],
    rotation: [...by],
    scale: [...size],
  });
  const lanternNode = joints.length + 2;
  const nodes = joints.map((joint, at): GltfNode => {
    const children = [...childrenOf(at), ...(at === lantern ? [lanternNode] : [])];
    return { ...nodeOf(`joint_${at}`, joint), ...(children.length > 0 && { children }) };
  });
  const skin = skinOf(joints, worlds);
  const attributes = {
    POSITION: writer.accessor(skin.positions, 'VEC3', 'float', { target: 34962, bounds: true }),
    JOINTS_0: writer.accessor(skin.slots, 'VEC4', 'u8', { target: 34962 }),
    WEIGHTS_0: writer.accessor(skin.weights, 'VEC4', 'float', { target: 34962 }),
  };
  const indices = writer.accessor(skin.triangles, 'SCALAR', 'u16', { target: 34963 });
  const binds = worlds.flatMap((world) => toMatrix(inverse(world)));
  json.nodes.push(
    { ...nodeOf('stage', holder), children: [first] },
    ...nodes,
    { name: 'hide', mesh: 0, skin: 0 },
    { name: 'lantern', translation: [0.1, 0, 0.2], rotation: [0.6, 0, 0, 0.8], mesh: 1 },
  );
  json.meshes = [
    { name: 'hide', primitives: [{ attributes, indices, mode: 4 }] },
    {
      name: 'lantern',
      primitives: [{ attributes: { POSITION: attributes.POSITION }, indices, mode: 4 }],
    },
  ];
  json.skins = [
    {
      joints: joints.map((_, at) => first + at),
      inverseBindMatrices: writer.accessor(binds, 'MAT4', 'float'),
    },
  ];
  if (keyed.length > 0) json.animations = [clipOf(keyed, joints, writer, first)];
  const buffer = writer.finish();
  return glb(JSON.stringify({ ...json, buffers: [{ byteLength: buffer.length }] }), buffer);
}

function skinOf(
  joints: RandomRig['joints'],
  worlds: readonly Affine[],
): { positions: number[]; slots: number[]; weights: number[]; triangles: number[] } {
  const positions: number[] = [];
  const slots: number[] = [];
  const weights: number[] = [];
  const triangles: number[] = [];
  joints.forEach(({ parent }, joint) => {
    const [x, y, z] = worlds[joint]?.move ?? [0, 0, 0];
    const at = positions.length / 3;
    for (let corner = 0; corner < 8; corner++) {
      positions.push(
        x + (corner & 1 ? 0.1 : -0.1),
        y + (corner & 2 ? 0.15 : -0.1),
        z + (corner & 4 ? 0.12 : -0.1),
      );
      const share = parent === -1 ? 1 : 0.4 + 0.07 * corner;
      slots.push(joint, Math.max(0, parent), 0, 0);
      weights.push(share, 1 - share, 0, 0);
    }
    for (const face of [0, 1, 2, 1, 3, 2, 4, 6, 5, 5, 6, 7, 0, 4, 1, 1, 4, 5])
      triangles.push(at + face);
  });
  return { positions, slots, weights, triangles };
}

function clipOf(
  keyed: readonly Keyed[],
  joints: RandomRig['joints'],
  writer: ByteWriter,
  first: number,
): NonNullable<GltfJson['animations']>[number] {
  const input = writer.accessor([0, 0.5, 1.25], 'SCALAR', 'float', { bounds: true });
  const samplers = keyed.map(({ joint, path, interpolation, noise }) => {
    const own = joints[joint];
    const isCubic = interpolation === 'CUBICSPLINE';
    const values: number[] = [];
    const at = (k: number): number => noise[k % noise.length] ?? 0;
    for (let key = 0; key < 3; key++) {
      const tangent = (size: number): number[] =>
        Array.from({ length: size }, (_, i) => 0.5 * at(12 * key + i + size));
      const value =
        path === 'rotation'
          ? unitOf([at(12 * key), at(12 * key + 1), at(12 * key + 2), 1])
          : (own?.[path === 'translation' ? 'move' : 'scale'] ?? [0, 0, 0]).map(
              // A scale is the same along all axes, as much as the stored one is.
              (base, i) =>
                path === 'scale' ? base * (1 + 0.2 * at(key)) : base + 0.2 * at(3 * key + i),
            );
      const size = value.length;
      values.push(...(isCubic ? tangent(size) : []), ...value, ...(isCubic ? tangent(size) : []));
    }
    const output = writer.accessor(values, path === 'rotation' ? 'VEC4' : 'VEC3', 'float');
    return { input, output, interpolation };
  });
  const channels = keyed.map(({ joint, path }, sampler) => ({
    sampler,
    target: { node: first + joint, path },
  }));
  return { name: 'play', samplers, channels };
}

function unitOf(values: readonly number[]): number[] {
  const size = Math.hypot(...values);
  return values.map((value) => value / size);
}
