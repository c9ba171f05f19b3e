import type { ByteSource } from './byte-source.js';
import { AssetError } from './errors.js';
import {
  COMPONENT_BYTES,
  type GltfAccessor,
  type GltfBufferView,
  type GltfDocument,
  TYPE_COMPONENTS,
} from './gltf-types.js';
import { ASSET_LIMITS } from './limits.js';
import { dracoAccessors, type Wanted } from './wanted-accessors.js';

/** A stretch of one buffer that is read. */
interface Stretch {
  readonly buffer: number;
  readonly start: number;
  readonly end: number;
}

/** The bytes read, and where each part of a buffer now stands in them. */
export interface PackedBytes {
  readonly bytes: Uint8Array;
  /** New offset of byte `offset` of `buffer`; only for bytes that were asked for. */
  place(buffer: number, offset: number): number;
}

/** Neighbouring stretches this close are read in one go: a system call costs more than the bytes. */
const GAP_BYTES = 4096;

/** Bytes that the wanted accessors take once decoded. */
export function decodedBytes(document: GltfDocument, { accessors }: Wanted): number {
  return accessors.reduce((sum, index) => {
    const accessor = document.accessors[index];
    return accessor === undefined ? sum : sum + accessor.count * elementBytes(accessor);
  }, 0);
}

function elementBytes({ componentType, type }: GltfAccessor): number {
  return COMPONENT_BYTES[componentType] * TYPE_COMPONENTS[type];
}

/**
 * The buffer views that hold the wanted accessors, with each accessor's range checked against its
 * view and each view's against its buffer. Throws AssetError where one runs past.
 */
export function wantedViews(document: GltfDocument, wanted: Wanted): number[] {
  const views = new Set<number>();
  const compressed = dracoAccessors(wanted);
  let decoded = 0;
  let zeros = 0;
  for (const index of wanted.accessors) {
    const accessor = document.accessors[index];
    if (accessor === undefined) continue;
    const bytes = accessor.count * elementBytes(accessor);
    decoded += bytes;
    if (decoded > ASSET_LIMITS.decodedBytes) {
      throw new AssetError(
        `${accessor.count} elements are more than can be read`,
        `/accessors/${index}/count`,
      );
    }
    const where = `/accessors/${index}`;
    if (accessor.bufferView === null && !compressed.has(index)) zeros += bytes;
    if (zeros > ASSET_LIMITS.zeroBytes) {
      throw new AssetError(`${zeros} bytes or more have no stored data`, `/accessors/${index}`);
    }
    if (accessor.bufferView !== null) {
      checkAccessorRange(document, accessor.bufferView, accessor, accessor.count, where);
      views.add(accessor.bufferView);
    }
    if (accessor.sparse !== null) {
      const { count, indices, values } = accessor.sparse;
      if (count > accessor.count) {
        throw new AssetError(
          `${count} sparse values for ${accessor.count} elements`,
          `${where}/sparse/count`,
        );
      }
      const shape = { ...accessor, componentType: indices.componentType, type: 'SCALAR' as const };
      checkAccessorRange(
        document,
        indices.bufferView,
        { ...shape, ...indices },
        count,
        `${where}/sparse/indices`,
      );
      checkAccessorRange(
        document,
        values.bufferView,
        { ...accessor, ...values },
        count,
        `${where}/sparse/values`,
      );
      views.add(indices.bufferView).add(values.bufferView);
    }
  }
  for (const { source, mesh, primitive } of wanted.primitives) {
    if (source.draco === null) continue;
    viewRange(document, source.draco.bufferView, `/meshes/${mesh}/primitives/${primitive}`);
    views.add(source.draco.bufferView);
  }
  return [...views].sort((a, b) => a - b);
}

/** glTF 2.0, 3.6.2.4 Data Alignment: the last element must end inside the buffer view. */
function checkAccessorRange(
  document: GltfDocument,
  view: number,
  accessor: GltfAccessor,
  count: number,
  where: string,
): void {
  const bytes = COMPONENT_BYTES[accessor.componentType] * TYPE_COMPONENTS[accessor.type];
  const { stride, length } = viewRange(document, view, where);
  if (stride !== null && stride < bytes && count > 1) {
    throw new AssetError(`elements of ${bytes} bytes are only ${stride} bytes apart`, where);
  }
  const end = accessor.byteOffset + (stride ?? bytes) * (count - 1) + bytes;
  if (end > length) {
    throw new AssetError(
      `the accessor needs ${end} bytes of buffer view ${view}, which has only ${length}`,
      where,
    );
  }
}

/** Length and stride of a view as accessors see it, its place in the buffer checked. */
function viewRange(
  document: GltfDocument,
  index: number,
  where: string,
): { readonly length: number; readonly stride: number | null } {
  const view = document.bufferViews[index];
  if (view === undefined) throw new AssetError(`there is no buffer view ${index}`, where);
  const stored = view.meshopt ?? view;
  const buffer = document.buffers[stored.buffer];
  const end = stored.byteOffset + stored.byteLength;
  if (buffer === undefined || end > buffer.byteLength) {
    throw new AssetError(
      `the buffer view needs ${end} bytes of buffer ${stored.buffer}, which has only ${buffer?.byteLength ?? 0}`,
      `/bufferViews/${index}`,
    );
  }
  if (view.meshopt === null) return { length: view.byteLength, stride: view.byteStride };
  const decoded = view.meshopt.count * view.meshopt.byteStride;
  const most = ASSET_LIMITS.meshoptGrowth * view.meshopt.byteLength;
  if (decoded > Math.min(most, ASSET_LIMITS.decodedBytes)) {
    throw new AssetError(
      `${decoded} bytes decoded from ${view.meshopt.byteLength} are too many`,
      `/bufferViews/${index}`,
    );
  }
  return { length: decoded, stride: view.byteStride };
}

/** Where a view's bytes are stored: its own place, or its compressed form's. */
export function storedRange(view: GltfBufferView): {
  buffer: number;
  byteOffset: number;
  byteLength: number;
} {
  return view.meshopt ?? view;
}

/** Reads the given views, each byte once, into one block; close neighbours in one read. */
export function readViews(
  document: GltfDocument,
  views: readonly number[],
  open: (buffer: number) => { readonly source: ByteSource; readonly offset: number },
): PackedBytes {
  const stretches = mergeStretches(
    views.flatMap((index) => {
      const view = document.bufferViews[index];
      if (view === undefined) return [];
      const { buffer, byteOffset, byteLength } = storedRange(view);
      return [{ buffer, start: byteOffset, end: byteOffset + byteLength }];
    }),
  );
  let total = 0;
  const placed = stretches.map((stretch) => {
    const at = total;
    // By division: bit operators end at 2 GB.
    total += Math.ceil((stretch.end - stretch.start) / 8) * 8;
    return { ...stretch, at };
  });
  if (total > ASSET_LIMITS.readBytes)
    throw new AssetError(`${total} bytes of geometry and clips are more than can be read`);
  // Opening checks that each buffer is as long as it says, before memory is taken for it.
  for (const { buffer } of placed) open(buffer);
  const bytes = new Uint8Array(total);
  for (const { buffer, start, end, at } of placed) {
    const { source, offset } = open(buffer);
    source.readInto(bytes.subarray(at, at + end - start), offset + start);
  }
  return {
    bytes,
    place(buffer, offset) {
      // The stretches are sorted: the last one that begins at or before the byte holds it.
      let low = 0;
      let high = placed.length;
      while (low < high) {
        const middle = (low + high) >> 1;
        const item = placed[middle];
        if (
          item !== undefined &&
          (item.buffer < buffer || (item.buffer === buffer && item.start <= offset))
        ) {
          low = middle + 1;
        } else {
          high = middle;
        }
      }
      const home = placed[low - 1];
      if (home === undefined || home.buffer !== buffer || offset >= home.end) {
        throw new RangeError(`byte ${offset} of buffer ${buffer} was not read`);
      }
      return home.at + offset - home.start;
    },
  };
}

function mergeStretches(stretches: Stretch[]): Stretch[] {
  const sorted = [...stretches].sort((a, b) => a.buffer - b.buffer || a.start - b.start);
  const merged: Stretch[] = [];
  for (const next of sorted) {
    const last = merged.at(-1);
    if (last !== undefined && last.buffer === next.buffer && next.start <= last.end + GAP_BYTES) {
      merged[merged.length - 1] = { ...last, end: Math.max(last.end, next.end) };
    } else {
      // Starting on a multiple of 8 keeps every accessor's alignment.
      merged.push({ ...next, start: next.start - (next.start % 8) });
    }
  }
  return merged;
}
