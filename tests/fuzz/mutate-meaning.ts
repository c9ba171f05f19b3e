import type { Draw } from './draw.js';
import { arrayOf, isLoose, type Loose, objectsIn, pickObject } from './loose-json.js';
import { numbersOf } from './mutate-data.js';
import type { AssetMutator } from './mutate-json.js';

/** Accessors by what a rig reads from them. */
const MEANINGS: Readonly<Record<string, (draw: Draw, json: Loose) => unknown>> = {
  'bind matrices': (draw, json) => pickObject(draw, json, 'skins')?.inverseBindMatrices,
  positions: (draw, json) => attribute(draw, json, 'POSITION'),
  normals: (draw, json) => attribute(draw, json, 'NORMAL'),
  weights: (draw, json) => attribute(draw, json, 'WEIGHTS_0'),
  joints: (draw, json) => attribute(draw, json, 'JOINTS_0'),
  triangles: (draw, json) =>
    pickObject(draw, pickObject(draw, json, 'meshes'), 'primitives')?.indices,
  'key times': (draw, json) =>
    pickObject(draw, pickObject(draw, json, 'animations'), 'samplers')?.input,
  'key values': (draw, json) =>
    pickObject(draw, pickObject(draw, json, 'animations'), 'samplers')?.output,
};

function attribute(draw: Draw, json: Loose, name: string): unknown {
  const primitive = pickObject(draw, pickObject(draw, json, 'meshes'), 'primitives');
  return isLoose(primitive?.attributes) ? primitive.attributes[name] : undefined;
}

/** 1e-40 is below the least that a 32-bit float holds with all its digits. */
const FLOATS = [
  Number.NaN,
  Infinity,
  -Infinity,
  0,
  -0,
  1e-40,
  1e-20,
  1e-6,
  -1,
  1,
  1e6,
  1e19,
  3e38,
  -3e38,
];
const INTEGERS = [0, 1, 3, 127, 255, 256, 65535];

/** Numbers of one meaning become no numbers, endless, huge, tiny or alike. */
const spoilMeaning: AssetMutator = (draw, json, buffer) => {
  const meaning = draw.pick(Object.keys(MEANINGS));
  const accessor = arrayOf(json.accessors)[Number(MEANINGS[meaning]?.(draw, json))];
  const numbers = isLoose(accessor) ? numbersOf(json, accessor, buffer) : null;
  if (!isLoose(accessor) || numbers === null) return null;
  const { count, parts } = numbers;
  const value = draw.pick(accessor.componentType === 5126 ? FLOATS : INTEGERS);
  const how = draw.pick(['one number', 'one element', 'every other element', 'all'] as const);
  const one = draw.int(0, count - 1);
  if (how === 'one number') numbers.write(one * parts + draw.int(0, parts - 1), value);
  else
    for (let at = 0; at < count; at++)
      if (how === 'all' || (how === 'one element' ? at === one : at % 2 === 0))
        for (let part = 0; part < parts; part++) numbers.write(at * parts + part, value);
  return `writes ${value} over ${meaning}: ${how}`;
};

/** Each element of one meaning by another amount: curves and shapes that nobody would make. */
const shakeMeaning: AssetMutator = (draw, json, buffer) => {
  const meaning = draw.pick(Object.keys(MEANINGS));
  const accessor = arrayOf(json.accessors)[Number(MEANINGS[meaning]?.(draw, json))];
  const numbers = isLoose(accessor) ? numbersOf(json, accessor, buffer) : null;
  if (!isLoose(accessor) || numbers === null) return null;
  const most = accessor.componentType === 5126 ? draw.pick([1e-3, 1, 1e3, 1e30]) : 300;
  for (let at = 0; at < numbers.count * numbers.parts; at++) {
    const value = (draw.int(-1000, 1000) / 1000) * most;
    numbers.write(at, accessor.componentType === 5126 ? value : Math.abs(Math.round(value)));
  }
  return `shakes ${meaning} by ${most}`;
};

/** Nodes of no size, mirrored, tiny and huge, singly and all together. */
const scales: AssetMutator = (draw, json) => {
  const nodes = objectsIn(json, 'nodes').filter((node) => node.matrix === undefined);
  if (nodes.length === 0) return null;
  const scale = draw.pick([
    [0, 0, 0],
    [1, 0, 1],
    [-1, 1, 1],
    [-1, -1, -1],
    [1e-40, 1e-40, 1e-40],
    [1e-9, 1e-9, 1e-9],
    [1e12, 1e12, 1e12],
    [1, 1e9, 1e-9],
  ]);
  const all = draw.chance(0.3);
  for (const node of all ? nodes : [draw.pick(nodes)]) node.scale = scale;
  return `scales ${all ? 'all nodes' : 'a node'} by ${scale.join(' ')}`;
};

export const MEANING_MUTATORS = [
  spoilMeaning,
  spoilMeaning,
  spoilMeaning,
  shakeMeaning,
  scales,
] as const;
