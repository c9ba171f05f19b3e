import { targetOf } from './animation-pointer.js';
import { AssetError } from './errors.js';
import type {
  AccessorType,
  ChannelPath,
  ComponentType,
  GltfAccessor,
  GltfAnimation,
  GltfBufferView,
  GltfChannel,
  GltfDocument,
  GltfMesh,
  GltfNode,
  GltfPrimitive,
  GltfSkin,
} from './gltf-types.js';
import { parseHumanoid } from './humanoid.js';
import { ASSET_LIMITS } from './limits.js';
import { Cursor } from './narrow.js';
import { nodeParents } from './node-tree.js';
import { checkRequiredExtensions } from './required-extensions.js';

const COMPONENT_TYPES: readonly ComponentType[] = [5120, 5121, 5122, 5123, 5125, 5126];
const ACCESSOR_TYPES: readonly AccessorType[] = [
  'SCALAR',
  'VEC2',
  'VEC3',
  'VEC4',
  'MAT2',
  'MAT3',
  'MAT4',
];

/**
 * Narrows parsed JSON to the part of a glTF 2.0 document that a rig needs.
 *
 * Only what is read is checked, so that a fault in a material does not stop the rig from being
 * judged. Throws AssetError with a JSON pointer at the first thing that breaks glTF 2.0.
 */
export function parseDocument(json: unknown): GltfDocument {
  const root = new Cursor(json);
  root.object();
  const asset = root.at('asset');
  if (asset.missing) asset.fail('this is not a glTF document: it has no asset');
  const version = asset.at('version').text();
  if (!/^2\.\d+$/.test(version))
    asset.at('version').fail(`glTF ${version} is not supported, only 2.0`);
  checkRequiredExtensions(root.at('extensionsRequired').list((item) => item.text()));

  const sizes = {
    nodes: root.at('nodes').length,
    meshes: root.at('meshes').length,
    skins: root.at('skins').length,
    accessors: root.at('accessors').length,
    bufferViews: root.at('bufferViews').length,
    buffers: root.at('buffers').length,
  };
  if (sizes.nodes > ASSET_LIMITS.nodes) {
    root
      .at('nodes')
      .fail(`${sizes.nodes} nodes are more than can be read (limit ${ASSET_LIMITS.nodes})`);
  }
  const nodes = root.at('nodes').list((item) => parseNode(item, sizes));
  const scenes = root.at('scenes').list((item) => {
    item.object();
    return item.at('nodes').list((node) => node.index('node', sizes.nodes));
  });
  return {
    scenes,
    scene: root.at('scene').or(0, (item) => item.index('scene', scenes.length)),
    nodes,
    parents: nodeParents(nodes),
    meshes: root.at('meshes').list((item) => parseMesh(item, sizes)),
    skins: root.at('skins').list((item) => parseSkin(item, sizes)),
    animations: root.at('animations').list((item) => parseAnimation(item, sizes)),
    accessors: root.at('accessors').list((item) => parseAccessor(item, sizes)),
    bufferViews: root.at('bufferViews').list((item) => parseBufferView(item, sizes)),
    buffers: root.at('buffers').list((item) => ({
      uri: item.at('uri').or(null, (uri) => uri.text()),
      byteLength: item.at('byteLength').whole('byteLength', 1),
    })),
    extensionsUsed: root.at('extensionsUsed').list((item) => item.text()),
    humanoid: parseHumanoid(json, sizes.nodes),
    generator: asset
      .at('generator')
      .or(null, (item) => (typeof item.value === 'string' ? item.value : null)),
  };
}

interface Sizes {
  readonly nodes: number;
  readonly meshes: number;
  readonly skins: number;
  readonly accessors: number;
  readonly bufferViews: number;
  readonly buffers: number;
}

function nameOf(item: Cursor): string | null {
  return item.at('name').or(null, (name) => {
    const text = name.text();
    if (text.length > ASSET_LIMITS.nameLetters)
      name.fail(
        `the name has ${text.length} letters (limit ${ASSET_LIMITS.nameLetters}); shorten it`,
      );
    return text;
  });
}

function parseNode(item: Cursor, sizes: Sizes): GltfNode {
  item.object();
  const rotation = item.at('rotation').or([0, 0, 0, 1], (value) => unitQuaternion(value));
  return {
    name: nameOf(item),
    children: item.at('children').list((child) => child.index('node', sizes.nodes)),
    mesh: item.at('mesh').or(null, (mesh) => mesh.index('mesh', sizes.meshes)),
    skin: item.at('skin').or(null, (skin) => skin.index('skin', sizes.skins)),
    matrix: item.at('matrix').or(null, (matrix) => matrix.numbers(16)),
    translation: item.at('translation').or([0, 0, 0], (value) => value.numbers(3)),
    rotation,
    scale: item.at('scale').or([1, 1, 1], (value) => value.numbers(3)),
  };
}

/** glTF 2.0, 5.25 Node: the rotation is a unit quaternion. Rounding is taken out here. */
function unitQuaternion(item: Cursor): number[] {
  const raw = item.numbers(4);
  const length = Math.hypot(...raw);
  if (!(length > 1e-6)) item.fail('the rotation is not a unit quaternion: its length is 0');
  return raw.map((part) => part / length);
}

function parseMesh(item: Cursor, sizes: Sizes): GltfMesh {
  return {
    name: nameOf(item),
    primitives: item.at('primitives').list((entry) => parsePrimitive(entry, sizes)),
  };
}

function parsePrimitive(item: Cursor, sizes: Sizes): GltfPrimitive {
  const draco = item.at('extensions').or(null, (extensions) => {
    const entry = extensions.at('KHR_draco_mesh_compression');
    if (entry.missing) return null;
    return {
      bufferView: entry.at('bufferView').index('buffer view', sizes.bufferViews),
      attributes: indexTable(entry.at('attributes'), (id) => id.whole('attribute id')),
    };
  });
  return {
    attributes: indexTable(item.at('attributes'), (entry) =>
      entry.index('accessor', sizes.accessors),
    ),
    indices: item.at('indices').or(null, (entry) => entry.index('accessor', sizes.accessors)),
    mode: item.at('mode').or(4, (entry) => entry.whole('mode', 0, 7)),
    draco,
  };
}

function indexTable(
  item: Cursor,
  read: (entry: Cursor) => number,
): Readonly<Record<string, number>> {
  if (item.missing) return {};
  return Object.fromEntries(Object.keys(item.object()).map((key) => [key, read(item.at(key))]));
}

function parseSkin(item: Cursor, sizes: Sizes): GltfSkin {
  const joints = item.at('joints').list((joint) => joint.index('node', sizes.nodes));
  if (joints.length === 0) item.fail('the skin has no joints');
  const seen = new Map<number, number>();
  joints.forEach((joint, slot) => {
    const earlier = seen.get(joint);
    // glTF 2.0, 5.28.3 skin.joints: each element is unique.
    if (earlier !== undefined) {
      throw new AssetError(
        `the skin lists node ${joint} twice, at joints ${earlier} and ${slot}`,
        `${item.pointer}/joints/${slot}`,
      );
    }
    seen.set(joint, slot);
  });
  return {
    name: nameOf(item),
    joints,
    inverseBindMatrices: item
      .at('inverseBindMatrices')
      .or(null, (entry) => entry.index('accessor', sizes.accessors)),
    skeleton: item.at('skeleton').or(null, (entry) => entry.index('node', sizes.nodes)),
  };
}

function parseAnimation(item: Cursor, sizes: Sizes): GltfAnimation {
  const samplers = item.at('samplers').list((entry) => ({
    input: entry.at('input').index('accessor', sizes.accessors),
    output: entry.at('output').index('accessor', sizes.accessors),
    interpolation: entry
      .at('interpolation')
      .or('LINEAR' as const, (value) =>
        value.oneOf('interpolation', ['LINEAR', 'STEP', 'CUBICSPLINE'] as const),
      ),
  }));
  const channels: GltfChannel[] = [];
  item.at('channels').list((entry) => {
    const sampler =
      samplers[entry.at('sampler').index('sampler of this animation', samplers.length)];
    const node = entry.at('target').at('node');
    const path = entry.at('target').at('path').text();
    // A channel without a node belongs to an extension; other paths (weights) move no joint.
    if (sampler === undefined) return;
    if (node.missing) {
      const pointed = targetOf(entry.at('target').value);
      if (pointed !== null && pointed.node < sizes.nodes && isMoving(pointed.path))
        channels.push({ node: pointed.node, path: pointed.path, ...sampler });
      return;
    }
    if (!isMoving(path)) return;
    channels.push({ node: node.index('node', sizes.nodes), path, ...sampler });
  });
  return { name: nameOf(item), channels };
}

function isMoving(path: string): path is ChannelPath {
  return path === 'translation' || path === 'rotation' || path === 'scale';
}

function parseAccessor(item: Cursor, sizes: Sizes): GltfAccessor {
  const view = (entry: Cursor): number => entry.index('buffer view', sizes.bufferViews);
  return {
    bufferView: item.at('bufferView').or(null, view),
    byteOffset: item.at('byteOffset').or(0, (entry) => entry.whole('byteOffset')),
    componentType: item.at('componentType').oneOf('componentType', COMPONENT_TYPES),
    normalized: item.at('normalized').or(false, (entry) => entry.value === true),
    count: item.at('count').whole('count', 1),
    type: item.at('type').oneOf('type', ACCESSOR_TYPES),
    sparse: item.at('sparse').or(null, (sparse) => ({
      count: sparse.at('count').whole('count', 1),
      indices: {
        bufferView: view(sparse.at('indices').at('bufferView')),
        byteOffset: sparse
          .at('indices')
          .at('byteOffset')
          .or(0, (entry) => entry.whole('byteOffset')),
        componentType: sparse
          .at('indices')
          .at('componentType')
          .oneOf('componentType', [5121, 5123, 5125] as const),
      },
      values: {
        bufferView: view(sparse.at('values').at('bufferView')),
        byteOffset: sparse
          .at('values')
          .at('byteOffset')
          .or(0, (entry) => entry.whole('byteOffset')),
      },
    })),
  };
}

function parseBufferView(item: Cursor, sizes: Sizes): GltfBufferView {
  const meshopt = item.at('extensions').or(null, (extensions) => {
    const entry = extensions.at('EXT_meshopt_compression');
    if (entry.missing) return null;
    return {
      buffer: entry.at('buffer').index('buffer', sizes.buffers),
      byteOffset: entry.at('byteOffset').or(0, (value) => value.whole('byteOffset')),
      byteLength: entry.at('byteLength').whole('byteLength', 1),
      byteStride: entry.at('byteStride').whole('byteStride', 1, 257),
      count: entry.at('count').whole('count', 1),
      mode: entry.at('mode').oneOf('mode', ['ATTRIBUTES', 'TRIANGLES', 'INDICES'] as const),
      filter: entry
        .at('filter')
        .or(null, (value) =>
          value.oneOf('filter', ['NONE', 'OCTAHEDRAL', 'QUATERNION', 'EXPONENTIAL'] as const),
        ),
    };
  });
  return {
    buffer: item.at('buffer').index('buffer', sizes.buffers),
    byteOffset: item.at('byteOffset').or(0, (entry) => entry.whole('byteOffset')),
    byteLength: item.at('byteLength').whole('byteLength', 1),
    byteStride: item.at('byteStride').or(null, (entry) => entry.whole('byteStride', 4, 253)),
    meshopt,
  };
}
