import type { TypedArray } from '@gltf-transform/core';
import type { ByteSource } from './byte-source.js';
import { AssetError } from './errors.js';
import {
  COMPONENT_BYTES,
  type GltfAccessor,
  type GltfDocument,
  TYPE_COMPONENTS,
} from './gltf-types.js';
import { ASSET_LIMITS } from './limits.js';
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

/** Where an accessor's elements are in a buffer when they can be read as they are. */
export interface PlainLayout {
  readonly buffer: number;
  /** Bytes of the buffer: the first of the first element, and the one after the last of the last. */
  readonly start: number;
  readonly end: number;
  /** Bytes of an element, and from one to the next: more where several accessors interleave. */
  readonly element: number;
  readonly stride: number;
}

/** Bytes of one element. */
export function elementBytes({ componentType, type }: GltfAccessor): number {
  return COMPONENT_BYTES[componentType] * TYPE_COMPONENTS[type];
}

/**
 * The layout of an accessor that is stored as numbers and nothing else, interleaved or not; null for
 * any other. Its range has been checked.
 */
function plainLayout(document: GltfDocument, index: number): PlainLayout | null {
  const accessor = document.accessors[index];
  const view = accessor?.bufferView == null ? undefined : document.bufferViews[accessor.bufferView];
  if (accessor === undefined || view === undefined) return null;
  if (accessor.sparse !== null || view.meshopt !== null || isPaddedMatrix(accessor)) return null;
  const { buffer, byteStride } = view;
  const element = elementBytes(accessor);
  const stride = byteStride ?? element;
  const start = view.byteOffset + accessor.byteOffset;
  return { buffer, start, end: start + stride * (accessor.count - 1) + element, element, stride };
}

/** glTF 2.0, 3.6.2.4: columns of small matrices begin on multiples of four bytes. */
function isPaddedMatrix({ type, componentType }: GltfAccessor): boolean {
  const bytes = COMPONENT_BYTES[componentType];
  return (type === 'MAT2' && bytes === 1) || (type === 'MAT3' && bytes <= 2);
}

/** A stretch of one buffer that is read. */
type Stretch = Pick<PlainLayout, 'buffer' | 'start' | 'end'>;

/** How the wanted accessors are read: each in one of two ways. */
export interface ReadPlan {
  /** Those that are read as they are: nothing else of their views is read, but what lies between. */
  readonly plain: ReadonlyMap<number, PlainLayout>;
  /** Those that the SDK decodes, and the views that it needs for them, whole. */
  readonly others: readonly number[];
  readonly views: readonly number[];
}

/** A buffer's bytes, which begin at `offset` of the source. */
export interface OpenedBuffer {
  readonly source: ByteSource;
  readonly offset: number;
}

/** The bytes read, and where each part of a buffer now is in them. */
export interface PackedBytes {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** New offset of byte `offset` of `buffer`; only for bytes that were asked for. */
  place(buffer: number, offset: number): number;
}

/** Neighbouring stretches this close are read in one go: a system call costs more than the bytes. */
const GAP_BYTES = 4096;

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
  open: (buffer: number) => OpenedBuffer,
): PackedBytes {
  const whole = views.flatMap((index) => {
    const view = document.bufferViews[index];
    if (view === undefined) return [];
    const { buffer, byteOffset, byteLength } = view.meshopt ?? view;
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
        const found = placed[middle];
        const isBefore =
          found !== undefined &&
          (found.buffer < buffer || (found.buffer === buffer && found.start <= offset));
        if (isBefore) low = middle + 1;
        else high = middle;
      }
      const home = placed[low - 1];
      if (home === undefined || home.buffer !== buffer || offset >= home.end)
        throw new RangeError(`byte ${offset} of buffer ${buffer} was not read`);
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
