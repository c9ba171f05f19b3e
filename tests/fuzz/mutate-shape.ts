import { arrayOf, isLoose, type Loose, objectsIn, pickObject } from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { anyNode } from './mutate-nodes.js';
import { oddText, oddValue } from './odd-values.js';

/** Joints one below the other, or many on one parent, which may be listed in a skin. */
const grow: AssetMutator = (draw, json) => {
  const nodes = arrayOf(json.nodes);
  const home = pickObject(draw, json, 'nodes');
  if (home === null) return null;
  const how = draw.pick(['chain', 'fan'] as const);
  const count = draw.pick([3, 40, 400, 2000]);
  const first = nodes.length;
  const name = draw.chance(0.2) ? oddText(draw).slice(0, 200) : null;
  for (let at = 0; at < count; at++) {
    const node: Loose = {
      name: name ?? `bead_${at}`,
      translation: draw.chance(0.8) ? [0, 0.1, 0] : [0, 0, 0],
    };
    if (how === 'chain' && at + 1 < count) node.children = [first + at + 1];
    nodes.push(node);
  }
  const added = Array.from({ length: count }, (_, at) => first + at);
  home.children = [...arrayOf(home.children), ...(how === 'chain' ? [first] : added)];
  const skin = draw.chance(0.6) ? pickObject(draw, json, 'skins') : null;
  if (skin !== null) {
    skin.joints = [...arrayOf(skin.joints), ...added];
    // Of those that are left there would be too few.
    delete skin.inverseBindMatrices;
  }
  return `grows a ${how} of ${count}${skin === null ? '' : ' joints'}`;
};

/** Skins that share their joints, all or some, in this order or another. */
const shareSkins: AssetMutator = (draw, json) => {
  const skin = pickObject(draw, json, 'skins');
  const meshNodes = objectsIn(json, 'nodes').filter((node) => node.mesh !== undefined);
  if (skin === null || meshNodes.length === 0) return null;
  const skins = arrayOf(json.skins);
  const joints = arrayOf(skin.joints);
  const how = draw.pick(['the same', 'reversed', 'some', 'another skeleton'] as const);
  const copy = structuredClone(skin);
  if (how === 'reversed') copy.joints = [...joints].reverse();
  if (how === 'some') copy.joints = joints.slice(draw.int(0, joints.length - 1));
  if (how === 'another skeleton') copy.skeleton = anyNode(draw, json);
  if (draw.chance(0.3)) delete copy.inverseBindMatrices;
  skins.push(copy);
  const node = draw.pick(meshNodes);
  // Nodes are only ever added to, so that the copy of this one stands at the end.
  arrayOf(json.nodes).push({ mesh: node.mesh, skin: skins.length - 1 });
  const [scene] = objectsIn(json, 'scenes');
  if (scene !== undefined) scene.nodes = [...arrayOf(scene.nodes), arrayOf(json.nodes).length - 1];
  return `adds a skin over the same joints: ${how}`;
};

/** Lists that hold nothing, which glTF 2.0 forbids (all of its arrays have `minItems` 1). */
const emptyList: AssetMutator = (draw, json) => {
  const lists: [Loose, string][] = [
    [json, draw.pick(['nodes', 'skins', 'meshes', 'animations', 'accessors', 'scenes'])],
  ];
  const inner = [
    ['skins', 'joints'],
    ['meshes', 'primitives'],
    ['animations', 'channels'],
    ['animations', 'samplers'],
    ['nodes', 'children'],
    ['scenes', 'nodes'],
  ] as const;
  for (const [key, list] of inner) {
    const holder = pickObject(draw, json, key);
    if (holder !== null) lists.push([holder, list]);
  }
  const [holder, key] = draw.pick(lists);
  holder[key] = [];
  return `empties ${key}`;
};

/** Morph targets of any accessors, their weights, and clips of these. */
const morphs: AssetMutator = (draw, json) => {
  const mesh = pickObject(draw, json, 'meshes');
  const primitive = pickObject(draw, mesh, 'primitives');
  if (mesh === null || primitive === null || !isLoose(primitive.attributes)) return null;
  const { POSITION, NORMAL } = primitive.attributes;
  const count = draw.pick([1, 2, 8]);
  const other = draw.int(0, arrayOf(json.accessors).length);
  const target: Loose = draw.chance(0.7) ? { POSITION, NORMAL } : { POSITION: other };
  primitive.targets = Array.from({ length: count }, () => ({ ...target }));
  mesh.weights = draw.chance(0.8)
    ? Array.from({ length: draw.pick([count, count, 1]) }, () => draw.pick([0, 0.5, 1, -3, 1e30]))
    : oddValue(draw);
  const animation = draw.chance(0.5) ? pickObject(draw, json, 'animations') : null;
  const channel = pickObject(draw, animation, 'channels');
  if (channel !== null) channel.target = { node: anyNode(draw, json), path: 'weights' };
  return `adds ${count} morph targets`;
};

/** A humanoid mapping of some joints, plausible or not, in the words of either VRM. */
const humanoid: AssetMutator = (draw, json) => {
  const bones = ['hips', 'spine', 'chest', 'neck', 'head', 'leftUpperArm', 'leftHand', 'rightFoot'];
  const chosen = bones.filter(() => draw.chance(0.7));
  const nodeOf = (at: number): number => (draw.chance(0.7) ? at : anyNode(draw, json));
  const isNew = draw.chance(0.5);
  const humanBones = isNew
    ? Object.fromEntries(chosen.map((bone, at) => [bone, { node: nodeOf(at) }]))
    : chosen.map((bone, at) => ({ bone, node: nodeOf(at) }));
  const value = isNew
    ? { specVersion: '1.0', humanoid: { humanBones } }
    : { humanoid: { humanBones } };
  const name = isNew ? 'VRMC_vrm' : 'VRM';
  json.extensions = { ...(isLoose(json.extensions) ? json.extensions : {}), [name]: value };
  json.extensionsUsed = [...arrayOf(json.extensionsUsed), name];
  return `maps ${chosen.length} bones in the words of ${name}`;
};

export const SHAPE_MUTATORS = [grow, grow, shareSkins, emptyList, morphs, humanoid] as const;
