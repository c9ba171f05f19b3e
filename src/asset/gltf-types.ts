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
  readonly sparse: GltfSparse | null;
}

export interface GltfSparse {
  readonly count: number;
  readonly indices: {
    readonly bufferView: number;
    readonly byteOffset: number;
    readonly componentType: ComponentType;
  };
  readonly values: { readonly bufferView: number; readonly byteOffset: number };
}

export interface GltfBufferView {
  readonly buffer: number;
  readonly byteOffset: number;
  readonly byteLength: number;
  readonly byteStride: number | null;
  readonly meshopt: GltfMeshopt | null;
}

/** EXT_meshopt_compression on a buffer view. */
export interface GltfMeshopt {
  readonly buffer: number;
  readonly byteOffset: number;
  readonly byteLength: number;
  readonly byteStride: number;
  readonly count: number;
  readonly mode: string;
  readonly filter: string | null;
}

export interface GltfBuffer {
  readonly uri: string | null;
  readonly byteLength: number;
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

export interface GltfMesh {
  readonly name: string | null;
  readonly primitives: readonly GltfPrimitive[];
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

/** Which nodes the asset says are which parts of a human body, as far as that can be read. */
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
  readonly meshes: readonly GltfMesh[];
  readonly skins: readonly GltfSkin[];
  readonly animations: readonly GltfAnimation[];
  readonly accessors: readonly GltfAccessor[];
  readonly bufferViews: readonly GltfBufferView[];
  readonly buffers: readonly GltfBuffer[];
  readonly extensionsUsed: readonly string[];
  /** Null where the asset has no mapping that can be read. */
  readonly humanoid: GltfHumanoid | null;
  /** `asset.generator`, for the report's header only. */
  readonly generator: string | null;
}

export type ChannelPath = 'translation' | 'rotation' | 'scale';
export type Interpolation = 'LINEAR' | 'STEP' | 'CUBICSPLINE';
export type AccessorType = 'SCALAR' | 'VEC2' | 'VEC3' | 'VEC4' | 'MAT2' | 'MAT3' | 'MAT4';
export type ComponentType = 5120 | 5121 | 5122 | 5123 | 5125 | 5126;

/** Bytes of one component (glTF 2.0, 3.6.2.2 Accessor Data Types). */
export const COMPONENT_BYTES: Readonly<Record<ComponentType, number>> = {
  5120: 1,
  5121: 1,
  5122: 2,
  5123: 2,
  5125: 4,
  5126: 4,
};

/** Components of one element (glTF 2.0, 3.6.2.2 Accessor Data Types). */
export const TYPE_COMPONENTS: Readonly<Record<AccessorType, number>> = {
  SCALAR: 1,
  VEC2: 2,
  VEC3: 3,
  VEC4: 4,
  MAT2: 4,
  MAT3: 9,
  MAT4: 16,
};
