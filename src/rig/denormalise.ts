import type { DecodedAccessor } from '../asset/decode.js';

/**
 * The values of an accessor as floats. Normalised integers become f = max(c / most, -1) (glTF 2.0,
 * 3.11 Animations and KHR_mesh_quantization); others keep their number. A float accessor is not
 * copied.
 */
export function denormalise(accessor: Pick<DecodedAccessor, 'array' | 'normalized'>): Float32Array {
  const { array, normalized } = accessor;
  if (array instanceof Float32Array) return array;
  const out = new Float32Array(array.length);
  const most = normalized ? largestOf(array) : 1;
  for (let i = 0; i < array.length; i++)
    out[i] = Math.max((array[i] ?? 0) / most, normalized ? -1 : -Infinity);
  return out;
}

function largestOf(array: ArrayLike<number>): number {
  if (array instanceof Int8Array) return 127;
  if (array instanceof Uint8Array) return 255;
  if (array instanceof Int16Array) return 32767;
  return array instanceof Uint16Array ? 65535 : 1;
}

/** Beyond this, sums of keys and changes of unit overflow; no unit of length or time needs it. */
const LARGEST = 1e31;

/**
 * Index of the first number that is too large to be measured, or none at all (glTF 2.0, 3.6.2.2 Accessor
 * Data Types: NaN and infinities MUST NOT be present); -1 where there is none.
 */
export function firstImmeasurable(numbers: Float32Array): number {
  for (let i = 0; i < numbers.length; i++) {
    // Also false for NaN.
    if (!(Math.abs(numbers[i] ?? 0) <= LARGEST)) return i;
  }
  return -1;
}
