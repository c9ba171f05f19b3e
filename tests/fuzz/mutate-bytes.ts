import type { Draw } from './draw.js';

/** Changes a file as bytes and says what it did. */
export type ByteMutator = (draw: Draw, bytes: Uint8Array) => { bytes: Uint8Array; did: string };

const isGlb = (bytes: Uint8Array): boolean =>
  bytes.length >= 28 && new DataView(bytes.buffer).getUint32(0, true) === 0x46546c67;

/** Bytes of a GLB's JSON, or the whole file. */
function jsonRange(bytes: Uint8Array): [number, number] {
  if (!isGlb(bytes)) return [0, bytes.length];
  return [20, Math.min(bytes.length, 20 + new DataView(bytes.buffer).getUint32(12, true))];
}

export const flipBits: ByteMutator = (draw, bytes) => {
  const [start, end] = jsonRange(bytes);
  const place = draw.pick(['the file', 'its JSON', 'its data', 'its data'] as const);
  const [from, to] =
    place === 'the file' || end >= bytes.length
      ? [0, bytes.length]
      : place === 'its JSON'
        ? [start, end]
        : [end, bytes.length];
  const out = bytes.slice();
  const flips = draw.pick([1, 1, 2, 8, 64]);
  for (let flip = 0; flip < flips && to > from; flip++) {
    const at = draw.int(from, to - 1);
    out[at] = (out[at] ?? 0) ^ (1 << draw.int(0, 7));
  }
  return { bytes: out, did: `flips ${flips} bits in ${place}` };
};

export const truncate: ByteMutator = (draw, bytes) => {
  const length = draw.int(0, Math.max(0, bytes.length - 1));
  const out = bytes.slice(0, length);
  const told = draw.chance(0.5) && out.length >= 12 && isGlb(bytes);
  if (told) new DataView(out.buffer).setUint32(8, length, true);
  return {
    bytes: out,
    did: `cuts the file at ${length}${told ? ', and says so in its header' : ''}`,
  };
};

/** The length and type fields of a GLB: glTF 2.0, 4.4 Binary glTF Layout. */
export const headerField: ByteMutator = (draw, bytes) => {
  if (!isGlb(bytes)) return truncate(draw, bytes);
  const out = bytes.slice();
  const view = new DataView(out.buffer);
  const second = 20 + view.getUint32(12, true);
  const fields = [0, 4, 8, 12, 16, second, second + 4].filter((at) => at + 4 <= out.length);
  const at = draw.pick(fields);
  const old = view.getUint32(at, true);
  const value = draw.pick([
    0,
    1,
    2,
    3,
    4,
    old + 1,
    old - 1,
    old + 4,
    old - 4,
    old >>> 1,
    2 ** 31,
    2 ** 32 - 1,
    out.length,
    0x4e4f534a,
    0x004e4942,
    0x46546c67,
  ]);
  view.setUint32(at, value >>> 0, true);
  return { bytes: out, did: `writes ${value >>> 0} over the 4 bytes at ${at}` };
};

/** Takes bytes out, puts them in twice, or puts zeros in. */
export const splice: ByteMutator = (draw, bytes) => {
  const at = draw.int(0, Math.max(0, bytes.length - 1));
  const length = draw.pick([1, 3, 4, 64, 4096]);
  const how = draw.pick(['out', 'twice', 'zeros'] as const);
  const middle =
    how === 'out' ? [] : how === 'twice' ? bytes.subarray(at, at + length) : new Uint8Array(length);
  const rest = bytes.subarray(how === 'out' ? at + length : at);
  const out = new Uint8Array(at + middle.length + rest.length);
  out.set(bytes.subarray(0, at));
  out.set(middle, at);
  out.set(rest, at + middle.length);
  if (draw.chance(0.5) && out.length >= 12 && isGlb(bytes))
    new DataView(out.buffer).setUint32(8, out.length, true);
  return { bytes: out, did: `splices ${length} bytes at ${at}: ${how}` };
};

export const BYTE_MUTATORS = [flipBits, flipBits, truncate, headerField, splice] as const;
