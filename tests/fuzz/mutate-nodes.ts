import type { Draw } from './draw.js';
import { arrayOf, type Loose, objectsIn, pickObject } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { oddLength, oddNumber, oddText } from './odd-values.js';

/** Index of a node, or one past the last. */
export const anyNode = (draw: Draw, json: Loose): number => draw.int(0, arrayOf(json.nodes).length);

/** Circles, second parents and lost children: glTF 2.0, 3.5.2 asks for strict trees. */
const children: AssetMutator = (draw, json) => {
  const node = pickObject(draw, json, 'nodes');
  if (node === null) return null;
  const list = arrayOf(node.children);
  const how = draw.pick(['any child', 'same child twice', 'no children', 'itself'] as const);
  if (how === 'any child') node.children = [...list, anyNode(draw, json)];
  else if (how === 'same child twice') node.children = [...list, ...list];
  else if (how === 'itself') node.children = [...list, objectsIn(json, 'nodes').indexOf(node)];
  else delete node.children;
  return `changes a node's children: ${how}`;
};

/** A subtree hangs elsewhere: mostly a tree still, of another shape. */
const rehang: AssetMutator = (draw, json) => {
  const nodes = objectsIn(json, 'nodes');
  if (nodes.length < 2) return null;
  const moves = draw.pick([1, 1, 4, 20]);
  for (let n = 0; n < moves; n++) {
    const child = draw.int(0, nodes.length - 1);
    for (const node of nodes)
      if (arrayOf(node.children).includes(child))
        node.children = arrayOf(node.children).filter((other) => other !== child);
    const parent = draw.int(0, nodes.length - 1);
    if (parent === child || isBelow(nodes, child, parent) || draw.chance(0.1)) continue;
    const home = nodes[parent];
    if (home !== undefined) home.children = [...arrayOf(home.children), child];
  }
  return `hangs ${moves} subtrees elsewhere`;
};

function isBelow(nodes: readonly Loose[], top: number, node: number): boolean {
  const seen = new Set<unknown>();
  const stack: unknown[] = [top];
  for (let at = stack.pop(); at !== undefined; at = stack.pop()) {
    if (at === node) return true;
    if (seen.has(at)) continue;
    seen.add(at);
    stack.push(...arrayOf(nodes[Number(at)]?.children));
  }
  return false;
}

const place: AssetMutator = (draw, json) => {
  const nodes = objectsIn(json, 'nodes');
  if (nodes.length === 0) return null;
  const times = draw.pick([1, 1, 3, nodes.length]);
  const numbers = (length: number): unknown[] => Array.from({ length }, () => odd(draw));
  for (let n = 0; n < times; n++) {
    const node = draw.pick(nodes);
    const field = draw.pick([
      'translation',
      'rotation',
      'scale',
      'matrix',
      'flat',
      'skew',
    ] as const);
    if (field === 'flat')
      node.scale = draw.pick([
        [0, 0, 0],
        [1, 0, 1],
        [-1, 1, 1],
        [1, 1e-20, 1],
      ]);
    else if (field === 'skew')
      node.matrix = [1, 0, 0, 0, 0.5, 1, 0, 0, 0, 0, 1, 0, odd(draw), 0, 0, 1];
    else node[field] = numbers(field === 'matrix' ? 16 : field === 'rotation' ? 4 : 3);
  }
  return `places ${times} nodes oddly`;
};

const odd = (draw: Draw): unknown =>
  draw.chance(0.02) ? oddNumber(draw) : draw.chance(0.5) ? oddLength(draw) : draw.int(-2, 2);

const names: AssetMutator = (draw, json) => {
  const nodes = objectsIn(json, 'nodes');
  if (nodes.length === 0) return null;
  const how = draw.pick(['none', 'all alike', 'one', 'numbers', 'sides'] as const);
  const text = oddText(draw);
  nodes.forEach((node, at) => {
    if (how === 'none') delete node.name;
    else if (how === 'numbers') node.name = String(at);
    else if (how === 'sides')
      node.name = `${draw.pick(['Left', 'Right', 'L_', '.R', 'l'])}${at >> 1}`;
    else if (how === 'all alike') node.name = text;
  });
  if (how === 'one') draw.pick(nodes).name = text;
  return `names nodes: ${how}`;
};

export const NODE_MUTATORS = [children, rehang, rehang, place, place, place, names] as const;
