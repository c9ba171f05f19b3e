import { AssetError } from './errors.js';
import {
  COMPONENT_BYTES,
  type GltfAccessor,
  type GltfDocument,
  TYPE_COMPONENTS,
} from './gltf-types.js';
import {
  type Decoded,
  type DecodedAccessor,
  type OpenedBuffer,
  type PackedBytes,
  type PlainLayout,
  planReads,
  readPlanned,
} from './read-plan.js';
import type { Wanted } from './wanted-accessors.js';

export type { Decoded, DecodedAccessor };

/**
 * Reads the wanted accessors, whose ranges have been checked. Those that are stored as plain numbers
 * are looked at in place, or taken out of what they interleave with; all others go to @gltf-transform in
 * a document of their own, without images. (Sending the plain ones there as well took a tenth of the
 * whole check of a 100,000-vertex rig: the SDK's start, and a copy of every array. It reads interleaved
 * ones in twice the time.)
 */
export async function readAccessors(
  document: GltfDocument,
  wanted: Wanted,
  open: (buffer: number) => OpenedBuffer,
): Promise<Decoded> {
  const plan = planReads(document, wanted);
  const packed = readPlanned(document, plan, open);
  const decoded = new Map<number, DecodedAccessor>();
  for (const [index, layout] of plan.plain) {
    const accessor = document.accessors[index];
    if (accessor !== undefined) decoded.set(index, plainNumbers(accessor, layout, packed));
  }
  if (plan.others.length === 0) return decoded;
  for (const index of plan.others) checkSparseIndices(document, index, packed);
  const { decodeWithSdk } = await import('./decode-with-sdk.js');
  const others = { ...wanted, accessors: plan.others };
  return new Map([...decoded, ...(await decodeWithSdk(document, others, plan.views, packed))]);
}

/** The numbers of an accessor in the bytes read: a view on them, or a copy where they lie apart. */
function plainNumbers(
  { componentType, count, type, normalized }: GltfAccessor,
  { buffer, start, element, stride }: PlainLayout,
  { bytes, place }: PackedBytes,
): DecodedAccessor {
  const size = TYPE_COMPONENTS[type];
  const offset = bytes.byteOffset + place(buffer, start);
  const isView = stride === element && offset % COMPONENT_BYTES[componentType] === 0;
  const Numbers = ARRAYS[componentType];
  const array = isView
    ? new Numbers(bytes.buffer, offset, size * count)
    : new Numbers(gather(bytes.buffer, offset, stride, element, count));
  return { array, count, size, normalized };
}

/** Elements that lie `stride` bytes apart, packed one after the other. */
function gather(
  from: ArrayBuffer,
  offset: number,
  stride: number,
  element: number,
  count: number,
): ArrayBuffer {
  // In the longest words that all of it is made of: fewer steps. Vertices are made of four bytes each.
  const Words =
    [Int32Array, Int16Array].find((words) =>
      [offset, stride, element].every((length) => length % words.BYTES_PER_ELEMENT === 0),
    ) ?? Int8Array;
  const width = Words.BYTES_PER_ELEMENT;
  const [size, step] = [element / width, stride / width];
  const stored = new Words(from, offset, step * (count - 1) + size);
  const words = new Words(size * count);
  for (let at = 0, to = 0; to < words.length; at += step)
    for (let k = 0; k < size; k++) words[to++] = stored[at + k] ?? 0;
  return words.buffer;
}

const ARRAYS = {
  5120: Int8Array,
  5121: Uint8Array,
  5122: Int16Array,
  5123: Uint16Array,
  5125: Uint32Array,
  5126: Float32Array,
};

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
    if (value <= before || value >= accessor.count)
      throw new AssetError(
        `sparse index ${value} of ${accessor.count} elements is out of order or out of range`,
        `/accessors/${index}/sparse/indices`,
      );
    before = value;
  }
}
