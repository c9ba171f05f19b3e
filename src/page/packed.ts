import type { Packed } from './page-data.js';

/** Numbers as base64 of their little-endian bytes. */
export function packed(numbers: Uint8Array | Uint16Array | Uint32Array | Float32Array): Packed {
  const bytes = Buffer.from(numbers.buffer, numbers.byteOffset, numbers.byteLength);
  return { type: typeOf(numbers), base64: littleEndian(bytes, numbers).toString('base64') };
}

function typeOf(numbers: Uint8Array | Uint16Array | Uint32Array | Float32Array): Packed['type'] {
  if (numbers instanceof Float32Array) return 'f32';
  if (numbers instanceof Uint32Array) return 'u32';
  return numbers instanceof Uint16Array ? 'u16' : 'u8';
}

function littleEndian(
  bytes: Buffer,
  { BYTES_PER_ELEMENT: size }: { readonly BYTES_PER_ELEMENT: number },
): Buffer {
  const isLittle = new Uint8Array(Uint16Array.of(1).buffer)[0] === 1;
  if (isLittle || size === 1) return bytes;
  return size === 2 ? Buffer.from(bytes).swap16() : Buffer.from(bytes).swap32();
}
