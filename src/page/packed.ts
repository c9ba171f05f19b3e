import { endianness } from 'node:os';
import type { Packed } from './page-data.js';

type Numbers = Uint8Array | Uint16Array | Uint32Array | Float32Array;

/** Numbers as base64 of their little-endian bytes. */
export function packed(numbers: Numbers): Packed {
  const { buffer, byteOffset, byteLength, BYTES_PER_ELEMENT: size } = numbers;
  let bytes = Buffer.from(buffer, byteOffset, byteLength);
  if (endianness() === 'BE' && size > 1)
    bytes = size === 2 ? Buffer.from(bytes).swap16() : Buffer.from(bytes).swap32();
  return { type: typeOf(numbers), base64: bytes.toString('base64') };
}

function typeOf(numbers: Numbers): Packed['type'] {
  if (numbers instanceof Float32Array) return 'f32';
  if (numbers instanceof Uint32Array) return 'u32';
  return numbers instanceof Uint16Array ? 'u16' : 'u8';
}
