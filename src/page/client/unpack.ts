import type { Packed } from '../page-data.js';

/** The numbers of a packed array, in an array of the type it was packed from. */
export function unpack({ type, base64 }: Packed) {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = binary.charCodeAt(i);
  if (type === 'u8') return bytes;
  const view = new DataView(bytes.buffer);
  const length = Math.floor(bytes.length / (type === 'u16' ? 2 : 4));
  if (type === 'u16') return Uint16Array.from({ length }, (_, i) => view.getUint16(2 * i, true));
  if (type === 'u32') return Uint32Array.from({ length }, (_, i) => view.getUint32(4 * i, true));
  return Float32Array.from({ length }, (_, i) => view.getFloat32(4 * i, true));
}
