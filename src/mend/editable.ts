import { dirname } from 'node:path';
import { openBufferUri } from '../asset/buffer-uri.js';
import { type ByteSource, fromMemory, openFile } from '../asset/byte-source.js';
import { type Container, readContainer } from '../asset/container.js';
import type { DecodedAccessor } from '../asset/decode.js';
import { AssetError } from '../asset/errors.js';
import { COMPONENT_BYTES, type ComponentType, TYPE_COMPONENTS } from '../asset/gltf-types.js';
import { type Asset, loadAsset, loadAssetBytes } from '../asset/load-asset.js';
import { type AccessorUser, countUsers, pointAt, usedAccessor } from './accessor-users.js';
import type { AccessorJson, GltfJson } from './gltf-json.js';
import { type Files, packGlb, packText } from './pack-files.js';

/** Numbers that an accessor is to hold, as they are stored: its component type goes with the array. */
export type Values = Float32Array | Uint16Array | Uint8Array;

/**
 * An asset opened to be changed. The JSON is as it was written, so that all that a mend does not
 * concern stays: key order, extras, unknown extensions. Numbers are changed in their place where one
 * user alone reads a plain range of them; else what is new goes to the end of the first buffer.
 */
export class Editable {
  /** Change it freely, but for what accessors hold: that goes through `write`. */
  readonly json: GltfJson;
  private readonly asset: Asset;
  private readonly container: Container;
  private readonly buffers: Buffer[];
  private readonly sources: readonly string[];
  private readonly changed = new Set<number>();
  /** What accessors hold that were written to. */
  private readonly written = new Map<number, Pick<DecodedAccessor, 'array' | 'normalized'>>();

  private constructor(asset: Asset, container: Container, buffers: Buffer[]) {
    this.asset = asset;
    this.container = container;
    // That it parsed as a document has shown that it is one.
    this.json = container.json as GltfJson;
    this.buffers = buffers;
    this.sources = this.externals();
  }

  /** Reads an asset whole. Throws AssetError when it cannot be read, or is packed in a way that is not written yet. */
  static async open(path: string): Promise<Editable> {
    const source = openFile(path);
    try {
      return await Editable.from(source, dirname(path));
    } finally {
      source.close();
    }
  }

  /** The same of an asset in memory; its external buffers are looked for in `folder`. */
  static fromBytes(bytes: Uint8Array, folder: string | null = null): Promise<Editable> {
    return Editable.from(fromMemory(bytes), folder);
  }

  private static async from(source: ByteSource, folder: string | null): Promise<Editable> {
    const asset = await loadAsset(source, folder, 'all');
    const container = await readContainer(source);
    const { extensionsUsed = [], buffers = [] } = container.json as GltfJson;
    const uris = buffers.flatMap(({ uri }) =>
      uri === undefined || /^data:/i.test(uri) ? [] : [uri],
    );
    if (new Set(uris).size < uris.length)
      throw new AssetError('two of its buffers are one file; give each its own, then mend it');
    const packing = PACKINGS.find((name) => extensionsUsed.includes(name));
    if (packing !== undefined)
      throw new AssetError(`its geometry is packed (${packing}); unpack it, then mend it`);
    const bytes = buffers.map(({ uri, byteLength }, index) => {
      const all = Buffer.alloc(byteLength);
      if (uri === undefined) source.readInto(all, container.binaryChunk?.offset ?? 0);
      else {
        const own = openBufferUri(uri, folder, `/buffers/${index}/uri`);
        try {
          own.readInto(all, 0);
        } finally {
          own.close();
        }
      }
      return all;
    });
    return new Editable(asset, container, bytes);
  }

  /** What a user's accessor holds, as stored; null where there is none, or its numbers are of another type. */
  read(user: AccessorUser): Values | null {
    const { array } = this.readAny(user) ?? {};
    const isStored =
      array instanceof Float32Array || array instanceof Uint16Array || array instanceof Uint8Array;
    return isStored ? array : null;
  }

  /** The same of any type of numbers. */
  readAny(user: AccessorUser): Pick<DecodedAccessor, 'array' | 'normalized'> | null {
    const accessor = usedAccessor(this.json, user);
    if (accessor === null) return null;
    const written = this.written.get(accessor);
    if (written !== undefined) return written;
    return this.asset.decoded.get(accessor) ?? null;
  }

  /** Adds an accessor, and gives its index. */
  add(type: 'MAT4' | 'VEC3' | 'VEC4', values: Values): number {
    const like = { componentType: componentOf(values), count: 0, type };
    this.json.accessors ??= [];
    const index = this.json.accessors.push(this.append(like, values)) - 1;
    this.remember(index, values);
    return index;
  }

  /**
   * Gives a user other values, as many as it had; others that read the same keep theirs. An accessor
   * of another component type, a sparse or a shared one is replaced by one of its own.
   */
  write(user: AccessorUser, values: Values): void {
    this.writeAll([user], values);
  }

  /**
   * The same for several users of one accessor, which go on sharing one. They may be given fewer
   * elements than they had.
   */
  writeAll(users: readonly AccessorUser[], values: Values): void {
    const index = users[0] === undefined ? null : usedAccessor(this.json, users[0]);
    const accessor = index === null ? undefined : this.json.accessors?.[index];
    if (index === null || accessor === undefined) return;
    const shared = (countUsers(this.json)[index] ?? 0) > users.length;
    if (!shared && this.overwrite(index, accessor, values)) {
      this.remember(index, values);
      return;
    }
    const fresh = this.append(accessor, values);
    const own = shared ? (this.json.accessors?.length ?? 0) : index;
    this.json.accessors?.splice(own, 1, fresh);
    for (const user of users) pointAt(this.json, user, own);
    this.remember(own, values);
  }

  private remember(accessor: number, array: Values): void {
    const normalized = this.json.accessors?.[accessor]?.normalized === true;
    this.written.set(accessor, { array, normalized });
  }

  /** Every file beside it that it led to when it was opened. */
  get led(): readonly string[] {
    return this.sources;
  }

  /** Buffers and images in files of their own that were not changed. */
  externals(): string[] {
    const { buffers = [], images = [] } = this.json;
    return [
      ...buffers.flatMap(({ uri }, index) => (this.changed.has(index) ? [] : [uri])),
      ...images.map(({ uri }) => uri),
    ].filter((uri): uri is string => uri !== undefined && !/^data:/i.test(uri));
  }

  /**
   * The files as they now stand.
   *
   * @param stem Name, without its ending, that buffers in files of their own are given where they changed; those
   * of the file that was opened stay as they are.
   */
  files(stem: string | null = null): Files {
    const { json, container, buffers } = this;
    json.buffers?.forEach((buffer, index) => {
      buffer.byteLength = buffers[index]?.byteLength ?? buffer.byteLength;
    });
    const own = new Map<string, Uint8Array>();
    const renamed = new Map<number, string>();
    for (const index of this.changed) {
      const buffer = json.buffers?.[index];
      const bytes = buffers[index];
      if (buffer?.uri === undefined || bytes === undefined) continue;
      if (/^data:/i.test(buffer.uri))
        buffer.uri = `data:application/octet-stream;base64,${bytes.toString('base64')}`;
      else {
        const name =
          stem === null ? null : `${stem}${own.size === 0 ? '' : `-${own.size + 1}`}.bin`;
        own.set(name ?? decodeURIComponent(buffer.uri), bytes);
        if (name !== null) renamed.set(index, encodeURIComponent(name));
      }
    }
    const before = [...renamed.keys()].map((index) => json.buffers?.[index]?.uri);
    for (const [index, uri] of renamed) Object.assign(json.buffers?.[index] ?? {}, { uri });
    const main =
      container.kind === 'glb'
        ? packGlb(json, json.buffers?.[0]?.uri === undefined ? (buffers[0] ?? null) : null)
        : packText(json, container.text ?? '');
    // The JSON goes on naming what was opened.
    [...renamed.keys()].forEach((index, at) => {
      Object.assign(json.buffers?.[index] ?? {}, { uri: before[at] });
    });
    return { main, buffers: own };
  }

  /** Writes values where the accessor has them, if nothing else lies or reads there. */
  private overwrite(index: number, accessor: AccessorJson, values: Values): boolean {
    const { bufferView, byteOffset = 0, sparse, type, count } = accessor;
    const view = bufferView === undefined ? undefined : this.json.bufferViews?.[bufferView];
    if (
      view === undefined ||
      sparse !== undefined ||
      componentOf(values) !== accessor.componentType
    )
      return false;
    const size = sizeOf(type);
    if (values.length > size * count) return false;
    const width = values.BYTES_PER_ELEMENT;
    const stride = view.byteStride ?? size * width;
    const alone =
      this.ownBytes(bufferView, accessor) &&
      (this.json.accessors ?? []).every(
        (other, at) =>
          at === index ||
          other.bufferView !== bufferView ||
          apart(other, accessor, view.byteStride),
      );
    const bytes = this.buffers[view.buffer];
    if (!alone || bytes === undefined) return false;
    const start = (view.byteOffset ?? 0) + byteOffset;
    accessor.count = values.length / size;
    for (let element = 0; element < accessor.count; element++)
      for (let i = 0; i < size; i++)
        put(bytes, start + element * stride + i * width, values, element * size + i);
    setBounds(accessor, values, size);
    this.changed.add(view.buffer);
    return true;
  }

  /** Whether no other view of the buffer shows the bytes of an accessor. */
  private ownBytes(index: number | undefined, accessor: AccessorJson): boolean {
    const views = this.json.bufferViews ?? [];
    const own = views[index ?? -1];
    if (own === undefined) return false;
    const [from, to] = extentOf(accessor, own.byteStride);
    const start = own.byteOffset ?? 0;
    return views.every((view, at) => {
      if (at === index || view.buffer !== own.buffer) return true;
      const other = view.byteOffset ?? 0;
      return other + view.byteLength <= start + from || start + to <= other;
    });
  }

  /** An accessor like another, with values at the end of the first buffer. */
  private append(accessor: AccessorJson, values: Values): AccessorJson {
    const { bufferView: _, byteOffset: __, sparse: ___, ...rest } = accessor;
    // A skeleton alone may have none: one within the file then holds what is new.
    this.json.buffers ??= [];
    if (this.json.buffers.length === 0)
      this.json.buffers.push({
        byteLength: 0,
        ...(this.container.kind === 'gltf' && { uri: 'data:application/octet-stream;base64,' }),
      });
    const before = this.buffers[0] ?? Buffer.alloc(0);
    const start = Math.ceil(before.byteLength / 4) * 4;
    const size = sizeOf(accessor.type);
    const bytes = Buffer.alloc(start + values.byteLength);
    before.copy(bytes);
    for (let i = 0; i < values.length; i++)
      put(bytes, start + i * values.BYTES_PER_ELEMENT, values, i);
    this.buffers[0] = bytes;
    this.changed.add(0);
    this.json.bufferViews ??= [];
    this.json.bufferViews.push({ buffer: 0, byteOffset: start, byteLength: values.byteLength });
    const fresh: AccessorJson = {
      ...rest,
      bufferView: this.json.bufferViews.length - 1,
      componentType: componentOf(values),
      count: values.length / size,
    };
    if (values instanceof Float32Array) delete fresh.normalized;
    setBounds(fresh, values, size);
    return fresh;
  }
}

const PACKINGS = [
  'EXT_meshopt_compression',
  'KHR_meshopt_compression',
  'KHR_draco_mesh_compression',
];

/** Opens what an edit gives, as a check would. External buffers that did not change come from `folder`. */
export function reload({ main, buffers }: Files, folder: string | null): Promise<Asset> {
  if (buffers.size === 0) return loadAssetBytes(main, folder, 'all');
  // Changed buffers are handed over within the JSON, since they are in no file yet.
  const { json, binary } = unpack(Buffer.from(main));
  for (const buffer of json.buffers ?? []) {
    const bytes =
      buffer.uri === undefined || /^data:/i.test(buffer.uri)
        ? undefined
        : buffers.get(decodeURIComponent(buffer.uri));
    if (bytes !== undefined)
      buffer.uri = `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`;
  }
  const bytes = binary === null ? Buffer.from(JSON.stringify(json)) : packGlb(json, binary);
  return loadAssetBytes(bytes, folder, 'all');
}

/** The JSON of what `files` wrote, and the binary chunk of a GLB. */
function unpack(main: Buffer): { json: GltfJson; binary: Buffer | null } {
  // What was packed here parses.
  if (main.toString('latin1', 0, 4) !== 'glTF')
    return { json: JSON.parse(main.toString('utf8')) as GltfJson, binary: null };
  const length = main.readUInt32LE(12);
  const json = JSON.parse(main.toString('utf8', 20, 20 + length)) as GltfJson;
  return { json, binary: main.subarray(28 + length) };
}

function sizeOf(type: string): number {
  // Accessors were checked when the asset was read.
  return TYPE_COMPONENTS[type as keyof typeof TYPE_COMPONENTS] ?? 1;
}

function componentOf(values: Values): ComponentType {
  if (values instanceof Float32Array) return 5126;
  return values instanceof Uint16Array ? 5123 : 5121;
}

function put(bytes: Buffer, at: number, values: Values, index: number): void {
  const value = values[index] ?? 0;
  if (values instanceof Float32Array) bytes.writeFloatLE(value, at);
  else if (values instanceof Uint16Array) bytes.writeUInt16LE(value, at);
  else bytes.writeUInt8(value, at);
}

/** First byte of an accessor in its view, the byte after its last, and bytes of an element. */
function extentOf(
  { byteOffset = 0, componentType, type, count }: AccessorJson,
  stride: number | undefined,
): [number, number, number] {
  const element = sizeOf(type) * (COMPONENT_BYTES[componentType as ComponentType] ?? 4);
  return [byteOffset, byteOffset + (stride ?? element) * Math.max(0, count - 1) + element, element];
}

/** Whether two accessors of one view share no byte. Interleaved ones lie side by side in each stride. */
function apart(a: AccessorJson, b: AccessorJson, stride: number | undefined): boolean {
  const [fromA, toA, sizeA] = extentOf(a, stride);
  const [fromB, toB, sizeB] = extentOf(b, stride);
  if (toA <= fromB || toB <= fromA) return true;
  if (stride === undefined) return false;
  const [low, high, size] = fromA < fromB ? [fromA, fromB, sizeA] : [fromB, fromA, sizeB];
  const gap = (high - low) % stride;
  return gap >= size && gap + (fromA < fromB ? sizeB : sizeA) <= stride;
}

/** Bounds are kept true where a file gives them (glTF 2.0, 3.6.2.5). */
function setBounds(accessor: AccessorJson, values: Values, size: number): void {
  if (accessor.min === undefined && accessor.max === undefined) return;
  const min = new Array<number>(size).fill(Infinity);
  const max = new Array<number>(size).fill(-Infinity);
  for (let i = 0; i < values.length; i++) {
    const [value, place] = [values[i] ?? 0, i % size];
    if (value < (min[place] ?? 0)) min[place] = value;
    if (value > (max[place] ?? 0)) max[place] = value;
  }
  if (accessor.min !== undefined) accessor.min = min;
  if (accessor.max !== undefined) accessor.max = max;
}
