import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Everything } from './everything.js';

/** A must, and what is done to `everything` to break it; gives the bytes where it packs them itself. */
export type Break = readonly [must: string, change: (file: Everything) => Buffer | undefined];

const inJson =
  (change: (file: Everything, json: Json) => unknown) =>
  (file: Everything): undefined => {
    // Everything is there, but for what the change itself takes away.
    change(file, file.json as Json);
  };

type Json = { [K in keyof Everything['json']]-?: NonNullable<Everything['json'][K]> };

const need = <T>(value: T | undefined): T => {
  if (value === undefined) throw new Error('everything has it');
  return value;
};

/** Makes a number of a record larger. */
function more<K extends string>(record: { [key in K]?: number }, key: K, by: number): void {
  record[key] = (record[key] ?? 0) + by;
}

/** Changes the bytes that an accessor leads to. */
const inBytes =
  (
    find: (file: Everything) => number | undefined,
    change: (bytes: Buffer, start: number) => unknown,
  ) =>
  (file: Everything): undefined => {
    const accessor = need(file.json.accessors?.[find(file) ?? -1]);
    const view = need(file.json.bufferViews?.[accessor.bufferView ?? -1]);
    change(file.binary, (view.byteOffset ?? 0) + (accessor.byteOffset ?? 0));
  };

const inFile =
  (change: (bytes: Buffer) => Buffer | undefined) =>
  (file: Everything): Buffer => {
    const bytes = file.pack();
    return change(bytes) ?? bytes;
  };

const primitive = ({ json }: Everything) => need(json.meshes?.[0]?.primitives[0]);
const attribute = (name: string) => (file: Everything) => primitive(file).attributes[name];
const accessorOf = (file: Everything, name: string) =>
  need(file.json.accessors?.[attribute(name)(file) ?? -1]);
const skin = ({ json }: Everything) => need(json.skins?.[0]);
const animation = ({ json }: Everything) => need(json.animations?.[0]);
/** The sampler of three keys at 0, 1 and 2, and the one of a single key. */
const sampler = (file: Everything, fromLast: number) =>
  need(animation(file).samplers.at(-fromLast));

/** A vertex with weights on as many joints, the first not on joint 0, and where its numbers are. */
function vertexWith(file: Everything, joints: number) {
  const places = ['JOINTS_0', 'WEIGHTS_0'].map((name) => {
    const { bufferView = -1, count, componentType } = accessorOf(file, name);
    const { byteOffset = 0 } = need(file.json.bufferViews?.[bufferView]);
    return { start: byteOffset, count, float: componentType === 5126 };
  });
  const [own, weights] = [need(places[0]), need(places[1])];
  const size = weights.float ? 4 : 1;
  for (let vertex = 0; vertex < own.count; vertex++) {
    const at = weights.start + 4 * size * vertex;
    const stored = [0, 1, 2, 3].map((k) =>
      weights.float ? file.binary.readFloatLE(at + 4 * k) : file.binary.readUInt8(at + k),
    );
    const fits = stored.every((weight, k) => (k < joints ? weight > 0 : weight === 0));
    const joint = own.start + 4 * vertex;
    if (fits && file.binary[joint] !== 0) return { joint, weight: at };
  }
  throw new Error(`no vertex has ${joints} joints`);
}

const QUANTISED = 'position-type';
const STORED_SUM = 'weight-sum-stored';

/** Each must with a change of one key, one number or one byte that breaks it alone, in their order. */
export const BREAKS: readonly Break[] = [
  ['glb-magic', inFile((bytes) => void bytes.writeUInt8(0x68, 0))],
  ['glb-version', inFile((bytes) => void bytes.writeUInt8(1, 4))],
  ['glb-length', inFile((bytes) => void bytes.writeUInt32LE(bytes.length + 1, 8))],
  [
    'glb-chunk-length',
    inFile((bytes) => void bytes.writeUInt32LE(bytes.readUInt32LE(binAt(bytes)) + 4, binAt(bytes))),
  ],
  [
    'glb-chunk-aligned',
    inFile((bytes) => {
      bytes.writeUInt32LE(bytes.length - 1, 8);
      bytes.writeUInt32LE(bytes.readUInt32LE(binAt(bytes)) - 1, binAt(bytes));
      return bytes.subarray(0, -1);
    }),
  ],
  ['glb-chunk-order', inFile((bytes) => void bytes.writeUInt8(0x58, 16))],
  ['glb-json-padding', inFile((bytes) => void bytes.writeUInt8(0x0a, binAt(bytes) - 1))],
  ['glb-bin-padding', inFile((bytes) => void bytes.writeUInt8(1, bytes.length - 1))],
  ['glb-bin-size', inJson((_, json) => more(need(json.buffers[0]), 'byteLength', -1))],
  ['buffer-has-bytes', inJson((_, json) => more(need(json.buffers[0]), 'byteLength', 4))],
  [
    'buffer-media-type',
    inJson((_, json) =>
      Object.assign(need(json.buffers[1]), { uri: 'data:text/plain;base64,AAAA' }),
    ),
  ],
  ['asset-version', inJson((_, json) => Object.assign(json.asset, { version: '3.0' }))],
  ['index-in-range', inJson((_, json) => Object.assign(json, { scene: 7 }))],
  ['name-is-text', inJson(({ lamp }, json) => Object.assign(need(json.nodes[lamp]), { name: 7 }))],
  [
    'list-not-empty',
    inJson(({ below }, json) => Object.assign(need(json.nodes[below]), { children: [] })),
  ],
  [
    'list-unique',
    inJson((_, json) => Object.assign(json, { extensionsUsed: ['EXAMPLE_lamp', 'EXAMPLE_lamp'] })),
  ],
  [
    'extensions-listed',
    inJson(({ lamp }, json) =>
      Object.assign(need(json.nodes[lamp]), { extensions: { EXAMPLE_lamp: {} } }),
    ),
  ],
  [
    'required-used',
    inJson((_, json) => Object.assign(json, { extensionsRequired: ['EXAMPLE_lamp'] })),
  ],
  ['view-in-buffer', inJson((_, json) => more(need(json.bufferViews.at(-1)), 'byteLength', 1))],
  [
    'view-one-kind',
    inJson((file, json) => {
      json.images = [{ bufferView: accessorOf(file, '_GLOW').bufferView ?? -1 }];
    }),
  ],
  [
    'view-stride-use',
    inJson((file, json) => {
      const { bufferView = -1 } = need(json.accessors[skin(file).inverseBindMatrices ?? -1]);
      need(json.bufferViews[bufferView]).byteStride = 64;
    }),
  ],
  [
    'accessor-offset-aligned',
    inJson(({ spare }, json) => Object.assign(need(json.accessors[spare]), { byteOffset: 2 })),
  ],
  ['vertex-aligned', inJson((file) => more(accessorOf(file, '_DIM'), 'byteOffset', 2))],
  [
    'shared-view-stride',
    inJson((file, json) => {
      delete need(json.bufferViews[accessorOf(file, '_GLOW').bufferView ?? -1]).byteStride;
    }),
  ],
  [
    'accessor-fits',
    inJson(({ spare }, json) => Object.assign(need(json.accessors[spare]), { byteOffset: 8 })),
  ],
  [
    'accessor-count',
    inJson(({ spare }, json) => Object.assign(need(json.accessors[spare]), { count: 0 })),
  ],
  [
    'float-finite',
    inBytes(
      ({ spare }) => spare,
      (bytes, at) => bytes.writeFloatLE(Number.NaN, at),
    ),
  ],
  ['sparse-indices', ({ binary, sparseIndices }) => void binary.writeUInt8(2, sparseIndices)],
  [
    'bounds-length',
    inJson(({ spare }, json) => Object.assign(need(json.accessors[spare]), { min: [0, 0] })),
  ],
  [
    'bounds-match',
    inJson((file) => Object.assign(accessorOf(file, 'POSITION'), { max: [9, 9, 9] })),
  ],
  ['bounds-given', inJson((file) => delete accessorOf(file, 'POSITION').max)],
  [
    QUANTISED,
    inJson((_, json) => {
      json.extensionsUsed = ['EXAMPLE_lamp'];
      json.extensionsRequired = ['EXAMPLE_lamp'];
    }),
  ],
  [
    'attribute-counts',
    inJson((file) => Object.assign(primitive(file).attributes, { _SPARE: file.spare })),
  ],
  [
    'target-counts',
    inJson((file) => Object.assign(need(primitive(file).targets?.[0]), { _SPARE: file.spare })),
  ],
  [
    'target-number',
    inJson((file, json) => {
      const { targets: _, ...plain } = primitive(file);
      json.meshes[0]?.primitives.push(plain);
    }),
  ],
  [
    'index-of-vertex',
    inBytes(
      (file) => primitive(file).indices,
      (bytes, at) => bytes.writeUInt16LE(65535, at),
    ),
  ],
  [
    'matrices-type',
    inJson((file, json) => {
      const accessor = need(json.accessors[skin(file).inverseBindMatrices ?? -1]);
      accessor.type = 'VEC4';
    }),
  ],
  [
    'matrices-count',
    inJson((file, json) =>
      more(need(json.accessors[skin(file).inverseBindMatrices ?? -1]), 'count', -1),
    ),
  ],
  [
    'matrices-last-row',
    inBytes(
      (file) => skin(file).inverseBindMatrices,
      (bytes, at) => bytes.writeFloatLE(2, at + 60),
    ),
  ],
  ['joints-unique', inJson((file) => skin(file).joints.splice(-1, 1, need(skin(file).joints[0])))],
  ['common-root', inJson((file) => skin(file).joints.splice(-1, 1, file.lamp))],
  ['root-in-scene', inJson((_, json) => need(json.scenes[0]).nodes?.splice(0, 1))],
  [
    'skeleton-above',
    inJson((file) => Object.assign(skin(file), { skeleton: skin(file).joints.at(-1) })),
  ],
  [
    'skinned-attributes',
    inJson((file) => {
      delete primitive(file).attributes.JOINTS_0;
      delete primitive(file).attributes.WEIGHTS_0;
    }),
  ],
  [
    'sets-in-twos',
    inJson((file) => Object.assign(primitive(file).attributes, { WEIGHTS_1: file.glow })),
  ],
  [
    'sets-consecutive',
    inJson((file) => {
      Object.assign(primitive(file).attributes, { WEIGHTS_2: file.glow, JOINTS_2: file.dim });
    }),
  ],
  [
    'joints-type',
    inJson((file) => Object.assign(accessorOf(file, 'JOINTS_0'), { normalized: true })),
  ],
  [
    'weights-type',
    inJson((file) => Object.assign(accessorOf(file, 'WEIGHTS_0'), { normalized: true })),
  ],
  [
    'weight-not-negative',
    (file) => void file.binary.writeFloatLE(-0.25, vertexWith(file, 1).weight + 4),
  ],
  [
    'joint-once',
    (file) => {
      const { joint } = vertexWith(file, 2);
      file.binary.writeUInt8(need(file.binary[joint]), joint + 1);
      return undefined;
    },
  ],
  [
    STORED_SUM,
    (file) => {
      const { weight } = vertexWith(file, 2);
      file.binary.writeUInt8(need(file.binary[weight]) - 1, weight);
      return undefined;
    },
  ],
  ['weight-sum-float', (file) => void file.binary.writeFloatLE(0.99, vertexWith(file, 1).weight)],
  ['joint-in-skin', (file) => void file.binary.writeUInt8(200, vertexWith(file, 1).joint + 3)],
  [
    'scene-roots',
    inJson((file, json) => need(json.scenes[0]).nodes?.push(need(skin(file).joints[3]))),
  ],
  [
    'one-parent',
    inJson(({ lamp, below }, json) => Object.assign(need(json.nodes[lamp]), { children: [below] })),
  ],
  [
    'no-cycle',
    inJson(({ below, upper }, json) =>
      Object.assign(need(json.nodes[below]), { children: [upper] }),
    ),
  ],
  [
    'unit-rotation',
    inJson(({ lamp }, json) => Object.assign(need(json.nodes[lamp]), { rotation: [0, 0, 0, 2] })),
  ],
  [
    'vector-size',
    inJson(({ lamp }, json) => Object.assign(need(json.nodes[lamp]), { scale: [1, 1] })),
  ],
  [
    'matrix-or-parts',
    inJson(({ boxed }, json) => Object.assign(need(json.nodes[boxed]), { scale: [1, 1, 1] })),
  ],
  [
    'matrix-decomposable',
    inJson(({ boxed }, json) => need(json.nodes[boxed]).matrix?.splice(4, 1, 1)),
  ],
  [
    'animated-without-matrix',
    inJson((file) => {
      animation(file).channels.push({
        sampler: animation(file).samplers.length - 1,
        target: { node: file.boxed, path: 'scale' },
      });
    }),
  ],
  [
    'skin-needs-mesh',
    inJson(({ upper }, json) => Object.assign(need(json.nodes[upper]), { skin: 0 })),
  ],
  [
    'input-type',
    inJson(({ start }, json) =>
      Object.assign(need(json.accessors[start]), { componentType: 5125 }),
    ),
  ],
  [
    'input-increasing',
    inBytes(
      (file) => sampler(file, 2).input,
      (bytes, at) => bytes.writeFloatLE(0, at + 4),
    ),
  ],
  ['interpolation', inJson((file) => Object.assign(sampler(file, 1), { interpolation: 'EASE' }))],
  [
    'spline-keys',
    inJson((file) => Object.assign(sampler(file, 1), { interpolation: 'CUBICSPLINE' })),
  ],
  [
    'path',
    inJson((file) => Object.assign(need(animation(file).channels[0]).target, { path: 'pivot' })),
  ],
  [
    'output-type',
    inJson((file, json) => {
      need(json.accessors[sampler(file, 2).output]).normalized = true;
    }),
  ],
  ['output-count', inJson((file) => Object.assign(sampler(file, 2), { interpolation: 'LINEAR' }))],
  [
    'weights-target',
    inJson((file) =>
      Object.assign(need(animation(file).channels.at(-2)).target, { node: file.lamp }),
    ),
  ],
  [
    'target-once',
    inJson((file) => animation(file).channels.push(need(animation(file).channels[0]))),
  ],
];

/** Where the binary chunk's header begins. */
function binAt(bytes: Buffer): number {
  return 20 + bytes.readUInt32LE(12);
}

/** How `everything` is to be stored for a must to have what it looks at. */
export const storageFor = (must: string): BuildOptions =>
  must === STORED_SUM ? { weights: 'u8' } : must === QUANTISED ? { positions: 'quantised' } : {};
