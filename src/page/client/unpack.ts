import type { Packed } from '../page-data.js';

interface Arrays {
  readonly u8: Uint8Array<ArrayBuffer>;
  readonly u16: Uint16Array<ArrayBuffer>;
  readonly u32: Uint32Array<ArrayBuffer>;
  readonly f32: Float32Array<ArrayBuffer>;
}

/** The numbers of a packed array, in an array of the type it was packed from. */
export function unpack({ type, base64 }: Packed): Arrays[keyof Arrays] {
  const bytes = bytesOf(base64);
  const count = Math.floor(bytes.byteLength / SIZES[type]);
  if (type === 'u8') return bytes;
  const view = new DataView(bytes.buffer);
  if (type === 'u16')
    return Uint16Array.from({ length: count }, (_, i) => view.getUint16(2 * i, true));
  if (type === 'u32')
    return Uint32Array.from({ length: count }, (_, i) => view.getUint32(4 * i, true));
  return Float32Array.from({ length: count }, (_, i) => view.getFloat32(4 * i, true));
}

const SIZES = { u8: 1, u16: 2, u32: 4, f32: 4 } as const;

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = binary.charCodeAt(i);
  return bytes;
}
