import { arrayOf, isLoose, pickObject, raw } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { anyNode, NODE_MUTATORS } from './mutate-nodes.js';
import { oddNumber } from './odd-values.js';

const skins: AssetMutator = (draw, json) => {
  const skin = pickObject(draw, json, 'skins');
  if (skin === null) return null;
  const joints = arrayOf(skin.joints);
  const fields: readonly (readonly [string, unknown])[] = [
    ['joints', [...joints, draw.pick([...joints, 0])]],
    ['joints', joints.slice(0, draw.int(0, joints.length))],
    ['joints', joints.filter(() => draw.chance(0.7))],
    ['joints', [...joints].reverse()],
    ['joints', [...arrayOf(json.nodes).keys()]],
    ['joints', [...joints, anyNode(draw, json)]],
    ['joints', joints.map(() => anyNode(draw, json))],
    ['skeleton', anyNode(draw, json)],
    ['inverseBindMatrices', undefined],
    ['inverseBindMatrices', draw.int(0, arrayOf(json.accessors).length)],
  ];
  const [field, value] = draw.pick(fields);
  skin[field] = value;
  return `changes a skin's ${field}`;
};

/** Which nodes show which mesh with which skin, and what is in the scene. */
const uses: AssetMutator = (draw, json) => {
  const node = pickObject(draw, json, 'nodes');
  if (node === null) return null;
  const how = draw.pick(['mesh', 'skin', 'both', 'scene', 'scenes'] as const);
  if (how === 'mesh' || how === 'both') node.mesh = draw.int(0, arrayOf(json.meshes).length);
  if (how === 'skin' || how === 'both') node.skin = draw.int(0, arrayOf(json.skins).length);
  if (how === 'scene') json.scene = draw.pick([undefined, 1, oddNumber(draw)]);
  if (how === 'scenes')
    json.scenes = [{ nodes: draw.pick([[], [anyNode(draw, json)], [0, 0]]) }, {}];
  return `changes what is shown: ${how}`;
};

/** Letters that repeating adds to a document, about: what memory a parser takes is not ours to judge. */
const MOST_TEXT = 2_000_000;

/** Things of the document many times over: what a small file can make a reader do. */
const repeat: AssetMutator = (draw, json) => {
  const key = draw.pick([
    'nodes',
    'skins',
    'meshes',
    'animations',
    'accessors',
    'bufferViews',
  ] as const);
  const inner = { animations: 'channels', meshes: 'primitives', skins: 'joints' } as const;
  const one = pickObject(draw, json, key);
  if (one === null) return null;
  // Of whole clips and whole meshes few, each of which is as much work again.
  const isWhole = key === 'animations' || key === 'meshes';
  const wanted = draw.pick(isWhole ? [1, 2, 4] : [1, 2, 8, 32, 128]);
  const innerKey = key === 'animations' || key === 'meshes' || key === 'skins' ? inner[key] : null;
  const [holder, list] =
    innerKey !== null && draw.chance(0.5) ? [one, innerKey] : [json, key as string];
  const items = arrayOf(holder[list]);
  if (items.length === 0) return null;
  const item = draw.pick(items);
  // An earlier mutation may have made it large already.
  const times = Math.min(wanted, Math.ceil(MOST_TEXT / (JSON.stringify(item) ?? '').length));
  const copies = Array.from({ length: times }, () => structuredClone(item));
  if (list === 'nodes') for (const copy of copies) if (isLoose(copy)) delete copy.children;
  holder[list] = [...items, ...copies];
  return `repeats one of ${list} ${times} times`;
};

const version: AssetMutator = (draw, json) => {
  json.asset = draw.pick([{}, { version: '2.1' }, { version: '1.0' }, { version: 2 }, raw('null')]);
  return 'changes the version';
};

export const SCENE_MUTATORS = [
  ...NODE_MUTATORS,
  skins,
  skins,
  uses,
  repeat,
  repeat,
  version,
] as const;
