import { targetOf } from './animation-pointer.js';
import { AssetError } from './errors.js';
import {
  type AccessorType,
  type ChannelPath,
  type ComponentType,
  type GltfAccessor,
  type GltfAnimation,
  type GltfBufferView,
  type GltfChannel,
  type GltfDocument,
  type GltfNode,
  type GltfPrimitive,
  type GltfSkin,
  TYPE_COMPONENTS,
} from './gltf-types.js';
import { parseHumanoid } from './humanoid.js';
import { ASSET_LIMITS } from './limits.js';
import { Cursor } from './narrow.js';
import { nodeParents } from './node-tree.js';
import { checkRequiredExtensions } from './required-extensions.js';

const COMPONENT_TYPES: readonly ComponentType[] = [5120, 5121, 5122, 5123, 5125, 5126];
// The table's type names exactly these keys.
const ACCESSOR_TYPES = Object.keys(TYPE_COMPONENTS) as AccessorType[];

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
  checkRequiredExtensions(root.at('extensionsRequired').list((name) => name.text()));

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
  const nodes = root.at('nodes').list((node) => parseNode(node, sizes));
  const scenes = root.at('scenes').list((scene) => {
    scene.object();
    return scene.at('nodes').list((node) => node.index('node', sizes.nodes));
  });
  const generator = asset.at('generator').value;
  return {
    scenes,
    scene: root.at('scene').or(0, (scene) => scene.index('scene', scenes.length)),
    nodes,
    parents: nodeParents(nodes),
    meshes: root.at('meshes').list((mesh) => ({
      name: nameOf(mesh),
      primitives: mesh.at('primitives').list((primitive) => parsePrimitive(primitive, sizes)),
    })),
    skins: root.at('skins').list((skin) => parseSkin(skin, sizes)),
    animations: root.at('animations').list((animation) => parseAnimation(animation, sizes)),
    accessors: root.at('accessors').list((accessor) => parseAccessor(accessor, sizes)),
    bufferViews: root.at('bufferViews').list((view) => parseBufferView(view, sizes)),
    buffers: root.at('buffers').list((buffer) => ({
      uri: buffer.at('uri').or(null, (uri) => uri.text()),
      byteLength: buffer.at('byteLength').whole(1),
    })),
    extensionsUsed: root.at('extensionsUsed').list((name) => name.text()),
    humanoid: parseHumanoid(json, sizes.nodes),
    generator: typeof generator === 'string' ? generator : null,
  };
}

/** How many things each list of the file has. */
type Sizes = Readonly<
  Record<'nodes' | 'meshes' | 'skins' | 'accessors' | 'bufferViews' | 'buffers', number>
>;

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

function parseNode(node: Cursor, sizes: Sizes): GltfNode {
  node.object();
  const rotation = node.at('rotation').or([0, 0, 0, 1], unitQuaternion);
  return {
    name: nameOf(node),
    children: node.at('children').list((child) => child.index('node', sizes.nodes)),
    mesh: node.at('mesh').indexOrNull('mesh', sizes.meshes),
    skin: node.at('skin').indexOrNull('skin', sizes.skins),
    matrix: node.at('matrix').or(null, (matrix) => matrix.numbers(16)),
    translation: node.at('translation').or([0, 0, 0], (value) => value.numbers(3)),
    rotation,
    scale: node.at('scale').or([1, 1, 1], (value) => value.numbers(3)),
  };
}

/** glTF 2.0, 5.25 Node: the rotation is a unit quaternion. Rounding is taken out here. */
function unitQuaternion(item: Cursor): number[] {
  const raw = item.numbers(4);
  const length = Math.hypot(...raw);
  if (!(length > 1e-6)) item.fail('the rotation is not a unit quaternion: its length is 0');
  return raw.map((part) => part / length);
}

function parsePrimitive(primitive: Cursor, sizes: Sizes): GltfPrimitive {
  const draco = primitive.at('extensions').or(null, (extensions) => {
    const entry = extensions.at('KHR_draco_mesh_compression');
    if (entry.missing) return null;
    return {
      bufferView: entry.at('bufferView').index('buffer view', sizes.bufferViews),
      attributes: indexTable(entry.at('attributes'), (id) =>
        id.whole(0, Number.MAX_SAFE_INTEGER, 'attribute id'),
      ),
    };
  });
  return {
    attributes: indexTable(primitive.at('attributes'), (entry) =>
      entry.index('accessor', sizes.accessors),
    ),
    indices: primitive.at('indices').indexOrNull('accessor', sizes.accessors),
    mode: primitive.at('mode').or(4, (mode) => mode.whole(0, 7)),
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

function parseSkin(skin: Cursor, sizes: Sizes): GltfSkin {
  const joints = skin.at('joints').list((joint) => joint.index('node', sizes.nodes));
  if (joints.length === 0) skin.fail('the skin has no joints');
  const seen = new Map<number, number>();
  joints.forEach((joint, slot) => {
    const earlier = seen.get(joint);
    // glTF 2.0, 5.28.3 skin.joints: each element is unique.
    if (earlier !== undefined)
      throw new AssetError(
        `the skin lists node ${joint} twice, at joints ${earlier} and ${slot}`,
        `${skin.pointer}/joints/${slot}`,
      );
    seen.set(joint, slot);
  });
  return {
    name: nameOf(skin),
    joints,
    inverseBindMatrices: skin.at('inverseBindMatrices').indexOrNull('accessor', sizes.accessors),
    skeleton: skin.at('skeleton').indexOrNull('node', sizes.nodes),
  };
}

function parseAnimation(animation: Cursor, sizes: Sizes): GltfAnimation {
  const samplers = animation.at('samplers').list((entry) => ({
    input: entry.at('input').index('accessor', sizes.accessors),
    output: entry.at('output').index('accessor', sizes.accessors),
    interpolation: entry
      .at('interpolation')
      .or('LINEAR' as const, (value) => value.oneOf(['LINEAR', 'STEP', 'CUBICSPLINE'] as const)),
  }));
  const channels: GltfChannel[] = [];
  animation.at('channels').list((entry) => {
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
  return { name: nameOf(animation), channels };
}

function isMoving(path: string): path is ChannelPath {
  return path === 'translation' || path === 'rotation' || path === 'scale';
}

function parseAccessor(accessor: Cursor, sizes: Sizes): GltfAccessor {
  const dataOf = (entry: Cursor) => ({
    bufferView: entry.at('bufferView').index('buffer view', sizes.bufferViews),
    byteOffset: offsetOf(entry),
  });
  return {
    bufferView: accessor.at('bufferView').indexOrNull('buffer view', sizes.bufferViews),
    byteOffset: offsetOf(accessor),
    componentType: accessor.at('componentType').oneOf(COMPONENT_TYPES),
    normalized: accessor.at('normalized').value === true,
    count: accessor.at('count').whole(1),
    type: accessor.at('type').oneOf(ACCESSOR_TYPES),
    sparse: accessor.at('sparse').or(null, (sparse) => ({
      count: sparse.at('count').whole(1),
      indices: {
        ...dataOf(sparse.at('indices')),
        componentType: sparse
          .at('indices')
          .at('componentType')
          .oneOf([5121, 5123, 5125] as const),
      },
      values: dataOf(sparse.at('values')),
    })),
  };
}

function parseBufferView(view: Cursor, sizes: Sizes): GltfBufferView {
  const rangeOf = (entry: Cursor) => ({
    buffer: entry.at('buffer').index('buffer', sizes.buffers),
    byteOffset: offsetOf(entry),
    byteLength: entry.at('byteLength').whole(1),
  });
  const meshopt = view.at('extensions').or(null, (extensions) => {
    const entry = extensions.at('EXT_meshopt_compression');
    if (entry.missing) return null;
    return {
      ...rangeOf(entry),
      byteStride: entry.at('byteStride').whole(1, 257),
      count: entry.at('count').whole(1),
      mode: entry.at('mode').oneOf(['ATTRIBUTES', 'TRIANGLES', 'INDICES']),
      filter: entry
        .at('filter')
        .or(null, (filter) => filter.oneOf(['NONE', 'OCTAHEDRAL', 'QUATERNION', 'EXPONENTIAL'])),
    };
  });
  return {
    ...rangeOf(view),
    byteStride: view.at('byteStride').or(null, (stride) => stride.whole(4, 253)),
    meshopt,
  };
}

function offsetOf(item: Cursor): number {
  return item.at('byteOffset').or(0, (offset) => offset.whole());
}
