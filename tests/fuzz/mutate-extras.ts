import {
  arrayOf,
  isLoose,
  type Loose,
  objectsIn,
  pickObject,
  setAt,
  spotsOf,
} from './loose-json.js';
import type { AssetMutator } from './mutate-json.js';
import { oddNumber, oddText, oddValue } from './odd-values.js';

/** Clips: nodes, paths, samplers and their data changed about. */
const channels: AssetMutator = (draw, json) => {
  const animation = pickObject(draw, json, 'animations');
  const channel = pickObject(draw, animation, 'channels');
  const sampler = pickObject(draw, animation, 'samplers');
  if (animation === null || channel === null || sampler === null) return null;
  const accessor = draw.int(0, arrayOf(json.accessors).length);
  const node = draw.int(0, arrayOf(json.nodes).length);
  const path = draw.pick(['translation', 'rotation', 'scale', 'weights', 'pointer', '']);
  const how = draw.pick(['target', 'sampler', 'interpolation', 'input', 'output', 'many'] as const);
  if (how === 'target')
    channel.target = draw.pick<unknown>([{ node, path }, { path }, {}, { node }]);
  else if (how === 'sampler')
    channel.sampler = draw.int(0, objectsIn(animation, 'samplers').length);
  else if (how === 'many')
    for (const one of objectsIn(animation, 'channels')) one.target = { node, path };
  else if (how === 'interpolation')
    sampler.interpolation = draw.pick<unknown>(['STEP', 'LINEAR', 'CUBICSPLINE', 'LIN', 1, null]);
  else sampler[how] = accessor;
  return `changes a clip's channel: ${how}`;
};

/** Extension objects of wrong types and with wrong values, where each of them may stand. */
const extension: AssetMutator = (draw, json) => {
  const name = draw.pick([
    'KHR_draco_mesh_compression',
    'EXT_meshopt_compression',
    'KHR_mesh_quantization',
    'VRMC_vrm',
    'VRM',
    'LANTERN_unknown_light',
  ]);
  const view = draw.int(0, arrayOf(json.bufferViews).length);
  const node = draw.int(0, arrayOf(json.nodes).length);
  const bones = draw.pick<unknown>([
    { hips: { node } },
    { hips: { node: oddNumber(draw) }, spine: 7 },
    [{ bone: 'hips', node }],
    [{ bone: oddText(draw), node }, null],
    oddValue(draw),
  ]);
  const plausible: Loose = {
    bufferView: view,
    buffer: 0,
    byteOffset: draw.pick([0, 4, 1e6]),
    byteLength: draw.int(1, 400),
    byteStride: draw.pick([4, 12, 16, 256]),
    count: draw.pick([1, 3, 300, 1e6]),
    mode: draw.pick(['ATTRIBUTES', 'TRIANGLES', 'INDICES', 'NONE']),
    filter: draw.pick(['NONE', 'OCTAHEDRAL', 'QUATERNION', 'EXPONENTIAL']),
    attributes: { POSITION: draw.int(0, 3), JOINTS_0: 1, WEIGHTS_0: 2 },
    humanoid: draw.chance(0.8) ? { humanBones: bones } : oddValue(draw),
  };
  const holder = draw.pick([
    json,
    pickObject(draw, json, 'bufferViews'),
    pickObject(draw, pickObject(draw, json, 'meshes'), 'primitives'),
  ]);
  if (holder === null) return null;
  const value = draw.chance(0.7) ? plausible : oddValue(draw);
  holder.extensions = draw.chance(0.95) ? { [name]: value } : oddValue(draw);
  json.extensionsUsed = [name];
  if (draw.chance(0.3)) json.extensionsRequired = [name];
  return `writes the extension ${name}`;
};

/** One value inside an extension that the seed has. */
const insideExtension: AssetMutator = (draw, json) => {
  const holders = spotsOf(json).filter(({ key }) => key === 'extensions');
  if (holders.length === 0) return null;
  const { holder } = draw.pick(holders);
  const spots = isLoose(holder) ? spotsOf(holder.extensions) : [];
  if (spots.length === 0) return null;
  const spot = draw.pick(spots);
  setAt(spot, draw.chance(0.7) ? oddNumber(draw) : oddValue(draw));
  return `changes ${String(spot.key)} of an extension`;
};

export const EXTRA_MUTATORS = [channels, channels, extension, extension, insideExtension] as const;
