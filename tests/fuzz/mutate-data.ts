import { Buffer } from 'node:buffer';
import type { Draw } from './draw.js';
import { arrayOf, isLoose, type Loose, objectsIn, pickObject } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { oddLength } from './odd-values.js';

const BYTES: Readonly<Record<number, number>> = {
  5120: 1,
  5121: 1,
  5122: 2,
  5123: 2,
  5125: 4,
  5126: 4,
};
const PARTS: Readonly<Record<string, number>> = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT4: 16 };

/** Where the numbers of an accessor stand in the buffer. */
export interface Numbers {
  readonly count: number;
  readonly parts: number;
  write(at: number, value: number): void;
}

/** The numbers of an accessor that lies plainly in the buffer; null for any other. */
export function numbersOf(json: Loose, accessor: Loose, buffer: Uint8Array): Numbers | null {
  const view = arrayOf(json.bufferViews)[Number(accessor.bufferView)];
  const bytes = BYTES[Number(accessor.componentType)];
  const parts = PARTS[String(accessor.type)];
  if (!isLoose(view) || view.extensions !== undefined || bytes === undefined || parts === undefined)
    return null;
  const start = Number(view.byteOffset ?? 0) + Number(accessor.byteOffset ?? 0);
  const stride = Number(view.byteStride ?? bytes * parts);
  const count = Number(accessor.count);
  if (!(start >= 0 && count > 0 && start + stride * (count - 1) + bytes * parts <= buffer.length))
    return null;
  const data = new DataView(buffer.buffer, buffer.byteOffset, buffer.byteLength);
  return {
    count,
    parts,
    write(at, value) {
      const offset = start + Math.floor(at / parts) * stride + (at % parts) * bytes;
      if (accessor.componentType === 5126) data.setFloat32(offset, value, true);
      else
        for (let byte = 0; byte < bytes; byte++)
          data.setUint8(offset + byte, (value / 256 ** byte) & 255);
    },
  };
}

const oddFloat = (draw: Draw): number =>
  draw.chance(0.5) ? oddLength(draw) : draw.pick([Number.NaN, Infinity, -Infinity, 0.5, 1]);

const oddInteger = (draw: Draw): number =>
  draw.pick([0, 1, 2, 127, 128, 255, 256, 65535, 2 ** 32 - 1]);

/** Single numbers, one component throughout, or all numbers of one accessor. */
const spoilNumbers: AssetMutator = (draw, json, buffer) => {
  const accessor = pickObject(draw, json, 'accessors');
  const numbers = accessor === null ? null : numbersOf(json, accessor, buffer);
  if (accessor === null || numbers === null) return null;
  const odd = (): number => (accessor.componentType === 5126 ? oddFloat(draw) : oddInteger(draw));
  const { count, parts } = numbers;
  const how = draw.pick(['some', 'component', 'all', 'element'] as const);
  const value = odd();
  const component = draw.int(0, parts - 1);
  if (how === 'some')
    for (let n = draw.int(1, 8); n > 0; n--) numbers.write(draw.int(0, count * parts - 1), odd());
  else if (how === 'component')
    for (let i = 0; i < count; i++) numbers.write(i * parts + component, value);
  else if (how === 'all') for (let i = 0; i < count * parts; i++) numbers.write(i, value);
  else
    for (let i = 0, at = draw.int(0, count - 1); i < parts; i++)
      numbers.write(at * parts + i, value);
  const index = objectsIn(json, 'accessors').indexOf(accessor);
  return `writes ${value} over accessor ${index}: ${how}`;
};

/** Random bytes over a stretch. */
const noise: AssetMutator = (draw, _, buffer) => {
  if (buffer.length === 0) return null;
  const at = draw.int(0, buffer.length - 1);
  const length = draw.pick([4, 64, 1024]);
  for (let i = at; i < Math.min(at + length, buffer.length); i++) buffer[i] = draw.int(0, 255);
  return `writes noise over ${length} bytes of data at ${at}`;
};

/** Float bytes that are no number, or have no end, at any place on a multiple of four. */
const spoilFloats: AssetMutator = (draw, _, buffer) => {
  if (buffer.length < 4) return null;
  const odd = Buffer.alloc(4);
  odd.writeFloatLE(oddFloat(draw));
  const times = draw.int(1, 6);
  for (let n = 0; n < times; n++) buffer.set(odd, 4 * draw.int(0, (buffer.length >> 2) - 1));
  return `writes ${odd.readFloatLE()} over ${times} floats anywhere`;
};

export const DATA_MUTATORS = [
  spoilNumbers,
  spoilNumbers,
  spoilNumbers,
  noise,
  spoilFloats,
] as const;
