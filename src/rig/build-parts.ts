import type { DecodedAccessor } from '../asset/decode.js';
import { AssetError } from '../asset/errors.js';
import type { GltfPrimitive } from '../asset/gltf-types.js';
import type { Asset } from '../asset/load-asset.js';
import { denormalise, firstImmeasurable } from './denormalise.js';
import type { SkinnedPart } from './types.js';

type Influences = Pick<SkinnedPart, 'influences' | 'slots' | 'weights' | 'weightSteps'>;

/** The vertices, triangles and weights of one primitive; nodes that show the same mesh share them. */
export type PartGeometry = Influences &
  Pick<SkinnedPart, 'vertexCount' | 'positions' | 'triangles'>;

/**
 * Reads the geometry of one primitive. Throws AssetError where an accessor has the wrong kind, a
 * position is not finite or past any measure, or an index leads past the vertices.
 */
export function buildPart(asset: Asset, source: GltfPrimitive, where: string): PartGeometry | null {
  const position = accessorOf(asset, source.attributes.POSITION);
  if (position === null) return null;
  if (position.size !== 3)
    throw new AssetError('POSITION does not have three numbers for each vertex', where);
  const positions = denormalise(position);
  refuseImmeasurable(positions, source.attributes.POSITION ?? 0);
  return {
    vertexCount: position.count,
    positions,
    triangles: readTriangles(asset, source, position.count, where),
    ...readInfluences(asset, source, position.count, where),
  };
}

function accessorOf(asset: Asset, index: number | null | undefined): DecodedAccessor | null {
  return index == null ? null : (asset.decoded.get(index) ?? null);
}

function refuseImmeasurable(positions: Float32Array, accessor: number): void {
  const index = firstImmeasurable(positions);
  if (index === -1) return;
  const value = positions[index] ?? 0;
  const vertex = Math.floor(index / 3);
  const what = Number.isFinite(value) ? 'too far out to be measured' : String(value);
  throw new AssetError(
    `the position of vertex ${vertex} is ${what}`,
    `/accessors/${accessor}, vertex ${vertex}`,
  );
}

function readTriangles(
  asset: Asset,
  source: GltfPrimitive,
  vertexCount: number,
  where: string,
): SkinnedPart['triangles'] {
  if (source.mode < 4) return null;
  const indices =
    accessorOf(asset, source.indices)?.array ??
    new Uint32Array(vertexCount).map((_, index) => index);
  if (
    !(
      indices instanceof Uint8Array ||
      indices instanceof Uint16Array ||
      indices instanceof Uint32Array
    )
  ) {
    throw new AssetError('the triangle indices are not unsigned whole numbers', `${where}/indices`);
  }
  let largest = 0;
  for (let i = 0; i < indices.length; i++) {
    const index = indices[i] ?? 0;
    if (index > largest) largest = index;
  }
  if (largest >= vertexCount)
    throw new AssetError(
      `an index names vertex ${largest}, but there are only ${vertexCount}`,
      `${where}/indices`,
    );
  if (source.mode === 4) return indices.subarray(0, indices.length - (indices.length % 3));
  return expand(indices, source.mode);
}

/** Strips (mode 5) and fans (mode 6) as single triangles, wound alike (glTF 2.0, 3.7.2.1). */
function expand(indices: ArrayLike<number>, mode: number): Uint32Array {
  const count = Math.max(0, indices.length - 2);
  const out = new Uint32Array(3 * count);
  for (let i = 0; i < count; i++) {
    const odd = i % 2;
    out[3 * i] = (mode === 6 ? indices[i + 1] : indices[i]) ?? 0;
    out[3 * i + 1] = (mode === 6 ? indices[i + 2] : indices[i + 1 + odd]) ?? 0;
    out[3 * i + 2] = (mode === 6 ? indices[0] : indices[i + 2 - odd]) ?? 0;
  }
  return out;
}

/** Gathers JOINTS_n and WEIGHTS_n, n = 0, 1, ... into one run of influences a vertex. */
function readInfluences(
  asset: Asset,
  source: GltfPrimitive,
  vertexCount: number,
  where: string,
): Influences {
  const sets: Omit<Influences, 'influences'>[] = [];
  for (let set = 0; ; set++) {
    const joints = accessorOf(asset, source.attributes[`JOINTS_${set}`]);
    const weights = accessorOf(asset, source.attributes[`WEIGHTS_${set}`]);
    if (joints === null || weights === null) break;
    const slots = joints.array;
    if (joints.size !== 4 || !(slots instanceof Uint8Array || slots instanceof Uint16Array))
      throw new AssetError(
        `JOINTS_${set} does not have four unsigned bytes or shorts for each vertex`,
        where,
      );
    if (weights.size !== 4)
      throw new AssetError(`WEIGHTS_${set} does not have four numbers for each vertex`, where);
    if (joints.count !== vertexCount || weights.count !== vertexCount)
      throw new AssetError(
        `${vertexCount} vertices, but ${joints.count} in JOINTS_${set} and ${weights.count} in WEIGHTS_${set}`,
        where,
      );
    const weightSteps =
      weights.array instanceof Uint8Array ? 255 : weights.array instanceof Uint16Array ? 65535 : 0;
    // glTF 2.0, 3.7.2.1: integer weights are normalised; a file that forgets the flag means them so.
    const normalised = weightSteps === 0 ? weights : { ...weights, normalized: true };
    sets.push({ slots, weights: denormalise(normalised), weightSteps });
  }
  const [first] = sets;
  if (first === undefined)
    return { influences: 0, slots: new Uint8Array(), weights: new Float32Array(), weightSteps: 0 };
  if (sets.length === 1) return { influences: 4, ...first };
  const influences = 4 * sets.length;
  const slots = new Uint16Array(influences * vertexCount);
  const weights = new Float32Array(influences * vertexCount);
  sets.forEach((source, set) => {
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      for (let k = 0; k < 4; k++) {
        slots[influences * vertex + 4 * set + k] = source.slots[4 * vertex + k] ?? 0;
        weights[influences * vertex + 4 * set + k] = source.weights[4 * vertex + k] ?? 0;
      }
    }
  });
  const isAlike = sets.every(({ weightSteps }) => weightSteps === first.weightSteps);
  return { influences, slots, weights, weightSteps: isAlike ? first.weightSteps : 0 };
}
