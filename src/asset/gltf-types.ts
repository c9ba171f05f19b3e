import type { HumanBone, VrmVersion } from './human-bones.js';

/**
 * The part of a glTF 2.0 document that a rig needs, after validation: every index is in range,
 * every array has its length, defaults are filled in. Names follow the glTF 2.0 specification.
 */
export interface GltfNode {
  /** As in the file, or null when the file gives none. */
  readonly name: string | null;
  readonly children: readonly number[];
  readonly mesh: number | null;
  readonly skin: number | null;
  /** Column-major, 16 numbers; null when the node is stored as TRS. */
  readonly matrix: readonly number[] | null;
  readonly translation: readonly number[];
  /** Unit quaternion x, y, z, w. */
  readonly rotation: readonly number[];
  readonly scale: readonly number[];
}

export interface GltfAccessor {
  readonly bufferView: number | null;
  readonly byteOffset: number;
  readonly componentType: ComponentType;
  readonly normalized: boolean;
  readonly count: number;
  readonly type: AccessorType;
  readonly sparse: {
    readonly count: number;
    readonly indices: StoredData & Pick<GltfAccessor, 'componentType'>;
    readonly values: StoredData;
  } | null;
}

interface StoredData {
  readonly bufferView: number;
  readonly byteOffset: number;
}

interface StoredRange {
  readonly buffer: number;
  readonly byteOffset: number;
  readonly byteLength: number;
}

export interface GltfBufferView extends StoredRange {
  readonly byteStride: number | null;
  /** EXT_meshopt_compression: the compressed bytes and what they decode to. */
  readonly meshopt:
    | (StoredRange & {
        readonly byteStride: number;
        readonly count: number;
        readonly mode: string;
        readonly filter: string | null;
      })
    | null;
}

export interface GltfPrimitive {
  readonly attributes: Readonly<Record<string, number>>;
  readonly indices: number | null;
  readonly mode: number;
  /** KHR_draco_mesh_compression: the compressed view and its attribute ids. */
  readonly draco: {
    readonly bufferView: number;
    readonly attributes: Readonly<Record<string, number>>;
  } | null;
}

export interface GltfSkin {
  readonly name: string | null;
  readonly joints: readonly number[];
  readonly inverseBindMatrices: number | null;
  readonly skeleton: number | null;
}

export interface GltfAnimation {
  readonly name: string | null;
  readonly channels: readonly GltfChannel[];
}

export interface GltfChannel {
  readonly node: number;
  readonly path: ChannelPath;
  readonly input: number;
  readonly output: number;
  readonly interpolation: Interpolation;
}

/** The asset's mapping of nodes to parts of a human body, as far as it can be read. */
export interface GltfHumanoid {
  readonly version: VrmVersion;
  /** Each bone has one node, and each node is one bone. */
  readonly nodes: ReadonlyMap<HumanBone, number>;
}

export interface GltfDocument {
  readonly scenes: readonly (readonly number[])[];
  readonly scene: number;
  readonly nodes: readonly GltfNode[];
  /** Parent node of each node, -1 at the top. */
  readonly parents: Int32Array;
  readonly meshes: readonly {
    readonly name: string | null;
    readonly primitives: readonly GltfPrimitive[];
  }[];
  readonly skins: readonly GltfSkin[];
  readonly animations: readonly GltfAnimation[];
  readonly accessors: readonly GltfAccessor[];
  readonly bufferViews: readonly GltfBufferView[];
  readonly buffers: readonly { readonly uri: string | null; readonly byteLength: number }[];
  readonly extensionsUsed: readonly string[];
  /** Null where the asset has no mapping that can be read. */
  readonly humanoid: GltfHumanoid | null;
  /** `asset.generator`, for the report's header only. */
  readonly generator: string | null;
}

export type ChannelPath = 'translation' | 'rotation' | 'scale';
export type Interpolation = 'LINEAR' | 'STEP' | 'CUBICSPLINE';
export type AccessorType = keyof typeof TYPE_COMPONENTS;
export type ComponentType = keyof typeof COMPONENT_BYTES;

/** Bytes of one component (glTF 2.0, 3.6.2.2 Accessor Data Types). */
export const COMPONENT_BYTES = {
  5120: 1,
  5121: 1,
  5122: 2,
  5123: 2,
  5125: 4,
  5126: 4,
} as const;

/** Components of one element (glTF 2.0, 3.6.2.2 Accessor Data Types). */
export const TYPE_COMPONENTS = {
  SCALAR: 1,
  VEC2: 2,
  VEC3: 3,
  VEC4: 4,
  MAT2: 4,
  MAT3: 9,
  MAT4: 16,
} as const;
