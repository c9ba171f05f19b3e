import type { ByteSource } from './byte-source.js';
import { AssetError } from './errors.js';
import type { GltfBufferView, GltfDocument } from './gltf-types.js';
import { type PlainLayout, plainLayout } from './layout.js';
import { ASSET_LIMITS } from './limits.js';
import { dracoAccessors, type Wanted } from './wanted-accessors.js';

/** A stretch of one buffer that is read. */
interface Stretch {
  readonly buffer: number;
  readonly start: number;
  readonly end: number;
}

/** How the wanted accessors are read: each in one of two ways. */
export interface ReadPlan {
  /** Those that are read as they stand: of their views nothing else is, but what lies between. */
  readonly plain: ReadonlyMap<number, PlainLayout>;
  /** Those that the SDK decodes, and the views that it needs for them, whole. */
  readonly others: readonly number[];
  readonly views: readonly number[];
}

/** Gives a buffer's bytes, which begin at `offset` of the source. */
export type OpenBuffer = (buffer: number) => {
  readonly source: ByteSource;
  readonly offset: number;
};

/** The bytes read, and where each part of a buffer now stands in them. */
export interface PackedBytes {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** New offset of byte `offset` of `buffer`; only for bytes that were asked for. */
  place(buffer: number, offset: number): number;
}

/** Neighbouring stretches this close are read in one go: a system call costs more than the bytes. */
const GAP_BYTES = 4096;

/** Where a view's bytes are stored: its own place, or its compressed form's. */
export function storedRange(view: GltfBufferView): {
  buffer: number;
  byteOffset: number;
  byteLength: number;
} {
  return view.meshopt ?? view;
}

/** Decides how the wanted accessors are read. Their ranges have been checked. */
export function planReads(document: GltfDocument, wanted: Wanted): ReadPlan {
  const plain = new Map<number, PlainLayout>();
  const others: number[] = [];
  const views = new Set<number>();
  const compressed = dracoAccessors(wanted);
  for (const index of wanted.accessors) {
    const layout = compressed.has(index) ? null : plainLayout(document, index);
    if (layout !== null) {
      plain.set(index, layout);
      continue;
    }
    others.push(index);
    const { bufferView = null, sparse = null } = document.accessors[index] ?? {};
    if (bufferView !== null) views.add(bufferView);
    if (sparse !== null) views.add(sparse.indices.bufferView).add(sparse.values.bufferView);
  }
  for (const { source } of wanted.primitives)
    if (source.draco !== null) views.add(source.draco.bufferView);
  return { plain, others, views: [...views].sort((a, b) => a - b) };
}

/** Reads what is planned, each byte once, into one block; close neighbours in one read. */
export function readPlanned(
  document: GltfDocument,
  { plain, views }: ReadPlan,
  open: OpenBuffer,
): PackedBytes {
  const whole = views.flatMap((index) => {
    const view = document.bufferViews[index];
    if (view === undefined) return [];
    const { buffer, byteOffset, byteLength } = storedRange(view);
    return [{ buffer, start: byteOffset, end: byteOffset + byteLength }];
  });
  const stretches = mergeStretches([...plain.values(), ...whole]);
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

function mergeStretches(stretches: readonly Stretch[]): Stretch[] {
  const sorted = [...stretches].sort((a, b) => a.buffer - b.buffer || a.start - b.start);
  const merged: Stretch[] = [];
  for (const next of sorted) {
    const last = merged.at(-1);
    if (last !== undefined && last.buffer === next.buffer && next.start <= last.end + GAP_BYTES) {
      merged[merged.length - 1] = { ...last, end: Math.max(last.end, next.end) };
    } else {
      // Starting on a multiple of 8 keeps every accessor's alignment.
      const { buffer, start, end } = next;
      merged.push({ buffer, start: start - (start % 8), end });
    }
  }
  return merged;
}
