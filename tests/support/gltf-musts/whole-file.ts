/** The JSON of a glTF file as far as musts look at it. What is missing or wrong there is what they look for. */
export interface FileJson {
  asset?: { version?: string };
  scene?: number;
  scenes?: { nodes?: number[] }[];
  nodes?: FileNode[];
  meshes?: FileMesh[];
  skins?: FileSkin[];
  animations?: FileAnimation[];
  accessors?: FileAccessor[];
  bufferViews?: FileView[];
  buffers?: { byteLength: number; uri?: string }[];
  images?: { bufferView?: number }[];
  materials?: unknown[];
  cameras?: unknown[];
  textures?: unknown[];
  samplers?: unknown[];
  extensionsUsed?: string[];
  extensionsRequired?: string[];
}

export interface FileNode {
  name?: string;
  children?: number[];
  matrix?: number[];
  translation?: number[];
  rotation?: number[];
  scale?: number[];
  mesh?: number;
  skin?: number;
  camera?: number;
  weights?: number[];
}

export interface FilePrimitive {
  attributes: Record<string, number>;
  indices?: number;
  material?: number;
  targets?: Record<string, number>[];
}

export interface FileMesh {
  primitives: FilePrimitive[];
  weights?: number[];
}

export interface FileSkin {
  joints: number[];
  inverseBindMatrices?: number;
  skeleton?: number;
}

export interface FileAnimation {
  channels: { sampler: number; target: { node?: number; path: string } }[];
  samplers: { input: number; output: number; interpolation?: string }[];
}

export interface FileAccessor {
  bufferView?: number;
  byteOffset?: number;
  componentType: number;
  normalized?: boolean;
  count: number;
  type: string;
  min?: number[];
  max?: number[];
  sparse?: {
    count: number;
    indices: { bufferView: number; byteOffset?: number; componentType: number };
    values: { bufferView: number; byteOffset?: number };
  };
}

export interface FileView {
  buffer: number;
  byteOffset?: number;
  byteLength: number;
  byteStride?: number;
  target?: number;
}

/** One chunk of a GLB, wherever its header says that it ends. */
export interface Chunk {
  readonly type: number;
  /** Of its header in the file. */
  readonly start: number;
  readonly data: Uint8Array;
  /** As its header tells it. */
  readonly length: number;
}

/** A file and all that it leads to, read with none of the code under test. */
export interface WholeFile {
  readonly bytes: Uint8Array;
  /** Null for a file of text. */
  readonly chunks: readonly Chunk[] | null;
  readonly json: FileJson;
  /** What each buffer has; null where it leads nowhere. */
  readonly buffers: readonly (Uint8Array | null)[];
}

export const JSON_CHUNK = 0x4e4f534a;
export const BIN_CHUNK = 0x004e4942;

/** @param beside What lies beside the file under a name; null for nothing. */
export function readWhole(
  bytes: Uint8Array,
  beside: (name: string) => Uint8Array | null = () => null,
): WholeFile {
  const text = new TextDecoder();
  const isText = /^\s*\{/.test(text.decode(bytes.subarray(0, 8)));
  const chunks = isText ? null : chunksOf(bytes);
  const own = chunks?.find(({ type }) => type === JSON_CHUNK) ?? chunks?.[0];
  // Whether it is what it should be is what the musts ask.
  const json = JSON.parse(text.decode(isText ? bytes : own?.data)) as FileJson;
  const binary = chunks?.find(({ type }) => type === BIN_CHUNK)?.data ?? null;
  const buffers = (json.buffers ?? []).map(({ uri }, index) => {
    if (uri === undefined) return index === 0 ? binary : null;
    if (!uri.startsWith('data:')) return beside(decodeURIComponent(uri));
    return Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64');
  });
  return { bytes, chunks, json, buffers };
}

function chunksOf(bytes: Uint8Array): Chunk[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const chunks: Chunk[] = [];
  for (let start = 12; start + 8 <= bytes.length; ) {
    const [length, type] = [view.getUint32(start, true), view.getUint32(start + 4, true)];
    chunks.push({ type, start, length, data: bytes.subarray(start + 8, start + 8 + length) });
    start += 8 + length;
  }
  return chunks;
}
