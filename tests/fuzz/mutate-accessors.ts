import { arrayOf, isLoose, type Loose, objectsIn, pickObject } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { oddNumber, oddText, oddValue } from './odd-values.js';

const accessorField: AssetMutator = (draw, json) => {
  const accessor = pickObject(draw, json, 'accessors');
  if (accessor === null) return null;
  const count = Number(accessor.count);
  const views = arrayOf(json.bufferViews).length;
  const fields: Loose = {
    count: draw.pick<unknown>([
      1,
      2,
      3,
      count - 1,
      count + 1,
      count >> 1,
      2 * count,
      oddNumber(draw),
    ]),
    byteOffset: draw.pick<unknown>([1, 2, 3, 4, 12, 16, oddNumber(draw)]),
    componentType: draw.pick<unknown>([5120, 5121, 5122, 5123, 5125, 5126, 5124, oddNumber(draw)]),
    type: draw.pick<unknown>(['SCALAR', 'VEC2', 'VEC3', 'VEC4', 'MAT2', 'MAT3', 'MAT4', 'VEC5']),
    normalized: draw.pick<unknown>([true, false, 1]),
    bufferView: draw.pick<unknown>([
      undefined,
      draw.int(0, views),
      draw.int(0, views),
      oddNumber(draw),
    ]),
  };
  const field = draw.pick(Object.keys(fields));
  accessor[field] = fields[field];
  return `sets an accessor's ${field} to ${String(fields[field])}`;
};

/** All accessors of one primitive get the same count, with their data or with zeros for it. */
const countTogether: AssetMutator = (draw, json) => {
  const mesh = pickObject(draw, json, 'meshes');
  const primitive = pickObject(draw, mesh, 'primitives');
  if (primitive === null || !isLoose(primitive.attributes)) return null;
  const count = draw.pick([1, 2, 3, 4, 50, 700, 100_000, 1_000_000]);
  const empty = count > 1000 || draw.chance(0.3);
  for (const index of Object.values(primitive.attributes)) {
    const accessor = arrayOf(json.accessors)[Number(index)];
    if (!isLoose(accessor)) continue;
    accessor.count = count;
    if (empty) delete accessor.bufferView;
  }
  if (draw.chance(0.5)) delete primitive.indices;
  return `gives a primitive ${count} vertices${empty ? ' without data' : ''}`;
};

/** glTF 2.0, 3.6.2.3 Sparse Accessors, right and wrong. */
const sparse: AssetMutator = (draw, json) => {
  const accessor = pickObject(draw, json, 'accessors');
  const views = arrayOf(json.bufferViews).length;
  if (accessor === null || views === 0) return null;
  const view = (): unknown => (draw.chance(0.9) ? draw.int(0, views - 1) : oddNumber(draw));
  const indices: Loose = { bufferView: view(), componentType: draw.pick([5121, 5123, 5125, 5126]) };
  const values: Loose = { bufferView: view() };
  if (draw.chance(0.3)) indices.byteOffset = draw.pick([1, 2, 4, 60]);
  if (draw.chance(0.3)) values.byteOffset = draw.pick([1, 4, 12, 60]);
  accessor.sparse = draw.chance(0.9)
    ? { count: draw.chance(0.9) ? draw.int(1, 3) : oddNumber(draw), indices, values }
    : oddValue(draw);
  if (draw.chance(0.3)) delete accessor.bufferView;
  return 'makes an accessor sparse';
};

const viewField: AssetMutator = (draw, json) => {
  const view = pickObject(draw, json, 'bufferViews');
  if (view === null) return null;
  const length = Number(view.byteLength);
  const fields: Loose = {
    byteLength: draw.pick<unknown>([
      0,
      1,
      length - 1,
      length + 1,
      length >> 1,
      2 * length,
      oddNumber(draw),
    ]),
    byteOffset: draw.pick<unknown>([1, 2, 4, length, oddNumber(draw)]),
    byteStride: draw.pick<unknown>([0, 1, 2, 4, 6, 8, 12, 16, 20, 64, 252, 256, oddNumber(draw)]),
    buffer: draw.pick<unknown>([undefined, 1, oddNumber(draw)]),
  };
  const field = draw.pick(Object.keys(fields));
  view[field] = fields[field];
  return `sets a buffer view's ${field} to ${String(fields[field])}`;
};

const bufferField: AssetMutator = (draw, json) => {
  const buffer = pickObject(draw, json, 'buffers');
  if (buffer === null) return null;
  const length = Number(buffer.byteLength);
  if (draw.chance(0.5)) buffer.byteLength = draw.pick([length + 1, length - 1, oddNumber(draw)]);
  else
    buffer.uri = draw.pick([
      'data:application/octet-stream;base64,AAAA',
      'data:,%00%01',
      'data:;base64,****',
      'other.bin',
      '../up.bin',
      '%zz',
      'https://theatre.invalid/a.bin',
      oddText(draw),
      oddNumber(draw),
    ]);
  return "changes a buffer's length or address";
};

/** Attributes of a primitive lead to each other's data, are gone, or come in second sets. */
const attributes: AssetMutator = (draw, json) => {
  const primitive = pickObject(draw, pickObject(draw, json, 'meshes'), 'primitives');
  if (primitive === null || !isLoose(primitive.attributes)) return null;
  const table = primitive.attributes;
  const names = Object.keys(table);
  const how = draw.pick(['swap', 'drop', 'second set', 'mode', 'indices', 'anywhere'] as const);
  if (how === 'mode') primitive.mode = draw.pick([0, 1, 2, 3, 4, 5, 6, 7, oddNumber(draw)]);
  else if (how === 'indices')
    primitive.indices = draw.pick([undefined, draw.int(0, objectsIn(json, 'accessors').length)]);
  else if (how === 'second set') {
    const to = draw.pick([1, 1, 2]);
    Object.assign(table, { [`JOINTS_${to}`]: table.JOINTS_0, [`WEIGHTS_${to}`]: table.WEIGHTS_0 });
  } else if (names.length > 0) {
    const name = draw.pick(names);
    if (how === 'drop') delete table[name];
    else if (how === 'swap') table[name] = table[draw.pick(names)];
    else table[name] = draw.int(0, objectsIn(json, 'accessors').length);
  }
  return `changes a primitive: ${how}`;
};

export const ACCESSOR_MUTATORS = [
  accessorField,
  accessorField,
  accessorField,
  countTogether,
  sparse,
  sparse,
  viewField,
  viewField,
  bufferField,
  attributes,
  attributes,
] as const;
