import type { TypedArray } from '@gltf-transform/core';
import { AssetError } from './errors.js';
import {
  COMPONENT_BYTES,
  type ComponentType,
  type GltfAccessor,
  type GltfDocument,
  TYPE_COMPONENTS,
} from './gltf-types.js';
import type { PackedBytes } from './read-plan.js';
import { dracoAccessors, type Wanted } from './wanted-accessors.js';

/** An accessor's values, decoded but not yet denormalised. */
export interface DecodedAccessor {
  readonly array: TypedArray;
  readonly count: number;
  /** Components of one element. */
  readonly size: number;
  readonly normalized: boolean;
}

export type Decoded = ReadonlyMap<number, DecodedAccessor>;

/**
 * Decodes the wanted accessors. Those that lie in the file as they are needed are looked at in
 * place; all others go to @gltf-transform in a document of their own, without images. (Sending the
 * plain ones there as well took a tenth of the whole check of a 100,000-vertex rig: the SDK's start,
 * and a copy of every array.)
 */
export async function decodeAccessors(
  document: GltfDocument,
  wanted: Wanted,
  views: readonly number[],
  packed: PackedBytes,
): Promise<Decoded> {
  const compressed = dracoAccessors(wanted);
  const decoded = new Map<number, DecodedAccessor>();
  const others: number[] = [];
  for (const index of wanted.accessors) {
    checkSparseIndices(document, index, packed);
    const plain = compressed.has(index) ? null : inPlace(document, index, packed);
    if (plain === null) others.push(index);
    else decoded.set(index, plain);
  }
  if (others.length === 0) return decoded;
  const { decodeWithSdk } = await import('./decode-with-sdk.js');
  const rest = await decodeWithSdk(document, { ...wanted, accessors: others }, views, packed);
  return new Map([...decoded, ...rest]);
}

/** An accessor whose values stand in the bytes one after the other, aligned; null for any other. */
function inPlace(
  document: GltfDocument,
  index: number,
  packed: PackedBytes,
): DecodedAccessor | null {
  const accessor = document.accessors[index];
  const view = accessor?.bufferView == null ? undefined : document.bufferViews[accessor.bufferView];
  if (
    accessor === undefined ||
    view === undefined ||
    accessor.sparse !== null ||
    view.meshopt !== null
  )
    return null;
  const size = TYPE_COMPONENTS[accessor.type];
  const bytes = COMPONENT_BYTES[accessor.componentType];
  if (view.byteStride !== null && view.byteStride !== size * bytes) return null;
  const offset =
    packed.bytes.byteOffset + packed.place(view.buffer, view.byteOffset) + accessor.byteOffset;
  if (offset % bytes !== 0 || isPaddedMatrix(accessor, bytes)) return null;
  const array = arrayOver(
    accessor.componentType,
    packed.bytes.buffer,
    offset,
    accessor.count * size,
  );
  return { array, count: accessor.count, size, normalized: accessor.normalized };
}

/** glTF 2.0, 3.6.2.4: columns of small matrices begin on multiples of four bytes. */
function isPaddedMatrix({ type }: GltfAccessor, bytes: number): boolean {
  return (type === 'MAT2' && bytes === 1) || (type === 'MAT3' && bytes <= 2);
}

function arrayOver(
  type: ComponentType,
  buffer: ArrayBufferLike,
  offset: number,
  length: number,
): TypedArray {
  // The bytes were allocated as a plain ArrayBuffer; the SDK's array types ask for one.
  const plain = buffer as ArrayBuffer;
  switch (type) {
    case 5120:
      return new Int8Array(plain, offset, length);
    case 5121:
      return new Uint8Array(plain, offset, length);
    case 5122:
      return new Int16Array(plain, offset, length);
    case 5123:
      return new Uint16Array(plain, offset, length);
    case 5125:
      return new Uint32Array(plain, offset, length);
    case 5126:
      return new Float32Array(plain, offset, length);
  }
}

/** glTF 2.0, 3.6.2.3 Sparse Accessors: indices strictly increase and stay below the count. */
function checkSparseIndices(document: GltfDocument, index: number, packed: PackedBytes): void {
  const accessor = document.accessors[index];
  const sparse = accessor?.sparse;
  const view = sparse == null ? undefined : document.bufferViews[sparse.indices.bufferView];
  // Compressed indices are only known once decoded, where a stray one changes nothing.
  if (accessor === undefined || sparse == null || view === undefined || view.meshopt !== null)
    return;
  const bytes = COMPONENT_BYTES[sparse.indices.componentType];
  const start = packed.place(view.buffer, view.byteOffset) + sparse.indices.byteOffset;
  const data = new DataView(packed.bytes.buffer, packed.bytes.byteOffset);
  let before = -1;
  for (let at = 0; at < sparse.count; at++) {
    const offset = start + at * (view.byteStride ?? bytes);
    const value =
      bytes === 1
        ? data.getUint8(offset)
        : bytes === 2
          ? data.getUint16(offset, true)
          : data.getUint32(offset, true);
    if (value <= before || value >= accessor.count) {
      throw new AssetError(
        `sparse index ${value} of ${accessor.count} elements is out of order or out of range`,
        `/accessors/${index}/sparse/indices`,
      );
    }
    before = value;
  }
}
