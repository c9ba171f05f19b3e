import type { TypedArray } from '@gltf-transform/core';
import { COMPONENT_BYTES, type ComponentType, TYPE_COMPONENTS } from '../../asset/gltf-types.js';
import type { AccessorJson, BufferViewJson, GltfJson } from './gltf-json.js';
import { type Stretch, stretchesOf } from './packing.js';

/** Numbers that an accessor is to hold, as they are stored: its component type goes with the array. */
export type Values = Float32Array | Uint16Array | Uint8Array;

/** Arrays by the component types whose numbers they hold (glTF 2.0, 3.6.2.2). */
const ARRAYS = [
  [5120, Int8Array],
  [5121, Uint8Array],
  [5122, Int16Array],
  [5123, Uint16Array],
  [5125, Uint32Array],
  [5126, Float32Array],
] as const;

/** Components of one element. */
export function sizeOf(type: string): number {
  // Accessors were checked when the asset was read.
  return TYPE_COMPONENTS[type as keyof typeof TYPE_COMPONENTS] ?? 1;
}

export function componentOf(values: TypedArray): ComponentType {
  return ARRAYS.find(([, Values]) => values instanceof Values)?.[0] ?? 5121;
}

/** Writes one of the values, little-endian (glTF 2.0, 3.6.1.1). */
export function put(bytes: Buffer, at: number, values: TypedArray, index: number): void {
  const value = values[index] ?? 0;
  if (values instanceof Float32Array) bytes.writeFloatLE(value, at);
  else if (values instanceof Int8Array || values instanceof Int16Array)
    bytes.writeIntLE(value, at, values.BYTES_PER_ELEMENT);
  else bytes.writeUIntLE(value, at, values.BYTES_PER_ELEMENT);
}

/** First byte of an accessor in its view, the byte after its last, and bytes of an element. */
export function extentOf(
  { byteOffset = 0, componentType, type, count }: AccessorJson,
  stride: number | undefined,
): [number, number, number] {
  const element = sizeOf(type) * (COMPONENT_BYTES[componentType as ComponentType] ?? 4);
  return [byteOffset, byteOffset + (stride ?? element) * Math.max(0, count - 1) + element, element];
}

/** Whether no other accessor reads the bytes of an accessor in its view, and no other view shows them. */
export function hasOwnBytes(
  { accessors = [], bufferViews = [] }: GltfJson,
  index: number,
): boolean {
  const accessor = accessors[index];
  const { bufferView = -1 } = accessor ?? {};
  const view = bufferViews[bufferView];
  if (accessor === undefined || view === undefined) return false;
  const { buffer, byteOffset = 0, byteStride } = view;
  const [from, to] = extentOf(accessor, byteStride);
  const isShown = (other: Stretch): boolean =>
    other.buffer === buffer && other.end > byteOffset + from && byteOffset + to > other.start;
  return (
    !bufferViews.some((other, at) => at !== bufferView && stretchesOf(other).some(isShown)) &&
    accessors.every(
      (other, at) =>
        at === index || other.bufferView !== bufferView || apart(other, accessor, byteStride),
    )
  );
}

/** Whether two accessors of one view share no byte. Interleaved ones have parts of each stride. */
function apart(a: AccessorJson, b: AccessorJson, stride: number | undefined): boolean {
  const [fromA, toA, sizeA] = extentOf(a, stride);
  const [fromB, toB, sizeB] = extentOf(b, stride);
  if (toA <= fromB || toB <= fromA) return true;
  if (stride === undefined) return false;
  const [low, high, size] = fromA < fromB ? [fromA, fromB, sizeA] : [fromB, fromA, sizeB];
  const gap = (high - low) % stride;
  return gap >= size && gap + (fromA < fromB ? sizeB : sizeA) <= stride;
}

/** Bounds are kept true where a file gives them (glTF 2.0, 3.6.2.5). */
export function setBounds(accessor: AccessorJson, values: TypedArray, size: number): void {
  if (accessor.min === undefined && accessor.max === undefined) return;
  const min = new Array<number>(size).fill(Infinity);
  const max = new Array<number>(size).fill(-Infinity);
  for (let i = 0; i < values.length; i++) {
    const [value, place] = [values[i] ?? 0, i % size];
    if (value < (min[place] ?? 0)) min[place] = value;
    if (value > (max[place] ?? 0)) max[place] = value;
  }
  if (accessor.min !== undefined) accessor.min = min;
  if (accessor.max !== undefined) accessor.max = max;
}

/** The values of a plain accessor without sparse ones, one after the other. */
export function readPlain(bytes: Buffer, view: BufferViewJson, accessor: AccessorJson): TypedArray {
  const [from, , element] = extentOf(accessor, view.byteStride);
  const stride = view.byteStride ?? element;
  const tight = new Uint8Array(element * accessor.count);
  for (let at = 0; at < accessor.count; at++) {
    const start = (view.byteOffset ?? 0) + from + at * stride;
    tight.set(bytes.subarray(start, start + element), at * element);
  }
  const [, Values] = ARRAYS.find(([type]) => type === accessor.componentType) ?? ARRAYS[1];
  return new Values(tight.buffer);
}
