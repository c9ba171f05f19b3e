/** The part of a glTF 2.0 file's JSON that mends change, as written. All else in it stays. */
export interface GltfJson {
  asset?: { extras?: unknown };
  extensionsUsed?: string[];
  extensionsRequired?: string[];
  nodes?: NodeJson[];
  meshes?: { primitives: PrimitiveJson[] }[];
  scenes?: { nodes?: number[] }[];
  skins?: { inverseBindMatrices?: number; joints: number[]; skeleton?: number }[];
  animations?: {
    channels: { sampler: number; target: { node?: number; path: string } }[];
    samplers: { input: number; output: number; interpolation?: string }[];
  }[];
  accessors?: AccessorJson[];
  bufferViews?: BufferViewJson[];
  buffers?: { byteLength: number; uri?: string; extensions?: Record<string, unknown> }[];
  images?: { uri?: string }[];
}

export interface NodeJson {
  name?: string;
  mesh?: number;
  skin?: number;
  camera?: number;
  children?: number[];
  matrix?: number[];
  translation?: number[];
  rotation?: number[];
  scale?: number[];
  extensions?: Record<string, unknown>;
}

export type PrimitiveJson = {
  attributes: Record<string, number>;
  indices?: number;
  targets?: Record<string, number>[];
  mode?: number;
  extensions?: Record<string, unknown>;
};

export interface AccessorJson {
  bufferView?: number;
  byteOffset?: number;
  componentType: number;
  count: number;
  type: string;
  normalized?: boolean;
  min?: number[];
  max?: number[];
  sparse?: { indices: { bufferView: number }; values: { bufferView: number } };
}

export interface BufferViewJson {
  buffer: number;
  byteOffset?: number;
  byteLength: number;
  byteStride?: number;
  extensions?: Record<string, unknown>;
}
