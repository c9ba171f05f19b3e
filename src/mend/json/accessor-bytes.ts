import type { TypedArray } from '@gltf-transform/core';
import { COMPONENT_BYTES, type ComponentType, TYPE_COMPONENTS } from '../../asset/gltf-types.js';
import type { AccessorJson, BufferViewJson } from './gltf-json.js';

/** Numbers that an accessor is to hold, as they are stored: its component type goes with the array. */
export type Values = Float32Array | Uint16Array | Uint8Array;

/** Components of one element. */
export function sizeOf(type: string): number {
  // Accessors were checked when the asset was read.
  return TYPE_COMPONENTS[type as keyof typeof TYPE_COMPONENTS] ?? 1;
}

export function componentOf(values: TypedArray): ComponentType {
  if (values instanceof Float32Array) return 5126;
  if (values instanceof Uint32Array) return 5125;
  if (values instanceof Uint16Array) return 5123;
  if (values instanceof Int16Array) return 5122;
  return values instanceof Int8Array ? 5120 : 5121;
}

/** Writes one of the values, little-endian as glTF 2.0 (3.6.1.1) has it. */
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

/** Whether two accessors of one view share no byte. Interleaved ones lie side by side in each stride. */
export function apart(a: AccessorJson, b: AccessorJson, stride: number | undefined): boolean {
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
  switch (accessor.componentType) {
    case 5120:
      return new Int8Array(tight.buffer);
    case 5122:
      return new Int16Array(tight.buffer);
    case 5123:
      return new Uint16Array(tight.buffer);
    case 5125:
      return new Uint32Array(tight.buffer);
    case 5126:
      return new Float32Array(tight.buffer);
    default:
      return tight;
  }
}
