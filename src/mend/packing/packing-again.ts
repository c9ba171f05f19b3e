import { readPlain, sizeOf } from '../json/accessor-bytes.js';
import { countUsers } from '../json/accessor-users.js';
import type { BufferViewJson, GltfJson, PrimitiveJson } from '../json/gltf-json.js';
import type { KeptJson } from '../json/kept-json.js';
import { DRACO, isFallback, type MeshoptName, viewsOf } from '../json/packing.js';
import type { DracoPacker, PlainAttribute } from './packing-draco.js';

/** A primitive that had to be unpacked, what it was packed by, and which of its attributes. */
export interface UnpackedPrimitive {
  readonly primitive: PrimitiveJson;
  readonly extension: Readonly<Record<string, unknown>>;
  readonly names: readonly string[];
}

/** What had to be unpacked since a file was opened. All views named here end the buffer `home`. */
export interface Unpacked {
  /** Views of one accessor each, and what it was packed by. */
  readonly views: ReadonlyMap<number, { readonly name: MeshoptName; readonly place: Place | null }>;
  readonly primitives: readonly UnpackedPrimitive[];
  /** All views at the end of the buffer, packed before or not, in the order of their bytes. */
  readonly tail: readonly number[];
  /** How many views there were. */
  readonly viewCount: number;
  readonly home: number;
}

/** What a packed view unpacks to, in a buffer without bytes. */
export type Place = Required<Pick<BufferViewJson, 'buffer' | 'byteOffset' | 'byteLength'>>;

export interface Packers {
  /** Packs elements of `stride` bytes without loss, as version 0 or 1 of the format. */
  readonly meshopt:
    | ((bytes: Uint8Array, count: number, stride: number, version: number) => Uint8Array)
    | null;
  readonly draco: DracoPacker | null;
}

/** A packed copy, with the views and primitives of `Unpacked` that are packed now. */
export interface PackedAgain {
  readonly json: GltfJson;
  readonly bytes: Buffer;
  readonly views: ReadonlySet<number>;
  readonly primitives: ReadonlySet<UnpackedPrimitive>;
}

/**
 * A copy of a file in which what had to be unpacked is packed again, each where that is exact and makes
 * it smaller. The file itself stays plain, so that it can be written to again. `bytes` are those of the
 * buffer `unpacked.home`.
 */
export function packAgain(
  json: GltfJson,
  bytes: Buffer,
  unpacked: Unpacked,
  { meshopt, draco }: Packers,
  kept: KeptJson,
): PackedAgain {
  const copy = shallow(json, kept);
  const { accessors = [], bufferViews = [] } = copy;
  const contents = new Map<number, Uint8Array>();
  let end = bytes.byteLength;
  for (const view of unpacked.tail) {
    const { byteOffset = 0, byteLength = 0 } = bufferViews[view] ?? {};
    contents.set(view, bytes.subarray(byteOffset, byteOffset + byteLength));
    end = Math.min(end, byteOffset);
  }
  const out = [bytes.subarray(0, end)];
  const packedViews = new Map<number, { name: MeshoptName; form: Record<string, unknown> }>();
  if (meshopt !== null)
    for (const [view, { name, place }] of unpacked.views) {
      const plain = bufferViews[view];
      const [accessor, ...others] = accessors.filter((user) => viewsOf(user).includes(view));
      // Readers that need not know the extension read plain bytes.
      const isRequired = copy.extensionsRequired?.includes(name) === true;
      if (!isRequired || plain === undefined || accessor === undefined || others.length > 0)
        continue;
      const { count } = accessor;
      const { buffer, byteOffset, byteLength } = readPlain(bytes, plain, accessor);
      const byteStride = byteLength / count;
      // Elements of the format are of whole words, 256 bytes at most.
      if (byteStride % 4 !== 0 || byteStride > 256) continue;
      const version = name === 'KHR_meshopt_compression' ? 1 : 0;
      const raw = new Uint8Array(buffer, byteOffset, byteLength);
      const small = meshopt(raw, count, byteStride, version);
      if (small.byteLength >= plain.byteLength) continue;
      contents.set(view, small);
      packedViews.set(view, { name, form: { byteStride, mode: 'ATTRIBUTES', count } });
      bufferViews[view] = placeholder(copy, plain, name, byteLength, byteStride, place);
    }
  const packedPrimitives = new Set<UnpackedPrimitive>();
  // Further views of a primitive that is now one packed stream, by the view of that.
  const replaced = new Map<number, readonly number[]>();
  if (draco !== null)
    for (const primitive of packablePrimitives(json, unpacked)) {
      const packed = packPrimitive(copy, bytes, primitive, draco, kept);
      if (packed === null) continue;
      for (const view of packed.views) contents.delete(view);
      const [first = -1, ...others] = packed.views;
      contents.set(first, packed.stream);
      replaced.set(first, others);
      packedPrimitives.add(primitive);
    }
  for (const view of unpacked.tail) {
    const content = contents.get(view);
    if (content === undefined) continue;
    const { byteLength } = content;
    const gap = (4 - (end % 4)) % 4;
    out.push(Buffer.alloc(gap), Buffer.from(content));
    const place = { buffer: unpacked.home, byteOffset: end + gap, byteLength };
    end += gap + byteLength;
    const packed = packedViews.get(view);
    const stored = bufferViews[view];
    if (stored !== undefined && packed !== undefined)
      stored.extensions = { ...stored.extensions, [packed.name]: { ...place, ...packed.form } };
    else
      for (const shown of [view, ...(replaced.get(view) ?? [])])
        Object.assign(bufferViews[shown] ?? {}, place);
  }
  const gone = [...replaced.values()].flat().filter((view) => view >= unpacked.viewCount);
  if (gone.length > 0) dropViews(copy, gone);
  const views = new Set(packedViews.keys());
  return { json: copy, bytes: Buffer.concat(out), views, primitives: packedPrimitives };
}

/** A copy as deep as packing changes it. */
function shallow(json: GltfJson, kept: KeptJson): GltfJson {
  const copy = kept.copied(json, { ...json });
  for (const key of ['accessors', 'bufferViews', 'buffers', 'meshes'] as const) {
    const list = json[key]?.map((part) => kept.copied(part, { ...part }));
    if (json[key] !== undefined && list !== undefined)
      Object.assign(copy, { [key]: kept.copied(json[key], list) });
  }
  return copy;
}

/** A view of what is packed: it shows bytes that are in no buffer. */
function placeholder(
  json: GltfJson,
  plain: BufferViewJson,
  name: MeshoptName,
  byteLength: number,
  byteStride: number,
  place: Place | null,
): BufferViewJson {
  const rest = { ...plain, byteLength, ...(plain.byteStride !== undefined && { byteStride }) };
  if (place !== null && byteLength <= place.byteLength)
    return { ...rest, buffer: place.buffer, byteOffset: place.byteOffset };
  json.buffers ??= [];
  let buffer = json.buffers.findIndex((stored) => isFallback(stored) && stored.uri === undefined);
  if (buffer === -1)
    buffer = json.buffers.push({ byteLength: 0, extensions: { [name]: { fallback: true } } }) - 1;
  const home = json.buffers[buffer];
  const byteOffset = Math.ceil((home?.byteLength ?? 0) / 4) * 4;
  if (home !== undefined) home.byteLength = byteOffset + byteLength;
  return { ...rest, buffer, byteOffset };
}

/** Unpacked primitives whose accessors nothing else reads. */
function packablePrimitives(json: GltfJson, { primitives, tail }: Unpacked): UnpackedPrimitive[] {
  const users = countUsers(json);
  return primitives.filter(({ primitive, names }) =>
    filledBy(primitive, names).every((index) => {
      const accessor = json.accessors?.[index];
      const [view = -1, ...others] = accessor === undefined ? [] : viewsOf(accessor);
      return tail.includes(view) && others.length === 0 && users[index] === 1;
    }),
  );
}

function filledBy({ attributes, indices }: PrimitiveJson, names: readonly string[]): number[] {
  const filled = [...names.map((name) => attributes[name]), indices];
  return filled.filter((accessor) => accessor !== undefined);
}

/** Packs one primitive of a copy; null where that is not exact, or makes nothing smaller. */
function packPrimitive(
  copy: GltfJson,
  bytes: Buffer,
  { primitive, extension, names }: UnpackedPrimitive,
  draco: DracoPacker,
  kept: KeptJson,
): { readonly stream: Uint8Array; readonly views: readonly number[] } | null {
  const { accessors = [], bufferViews = [] } = copy;
  const mesh = copy.meshes?.find(({ primitives }) => primitives.includes(primitive));
  const read = (index: number | undefined): PlainAttribute | null => {
    const accessor = index === undefined ? undefined : accessors[index];
    const view = bufferViews[accessor?.bufferView ?? -1];
    if (accessor === undefined || view === undefined) return null;
    const { type, normalized = false } = accessor;
    return { name: '', array: readPlain(bytes, view, accessor), size: sizeOf(type), normalized };
  };
  const attributes = names.flatMap((name) => {
    const found = read(primitive.attributes[name]);
    return found === null ? [] : [{ ...found, name }];
  });
  const triangles = read(primitive.indices)?.array;
  const filled = filledBy(primitive, names);
  const views = filled.flatMap((index) => accessors[index]?.bufferView ?? []).sort((a, b) => a - b);
  const [first] = views;
  if (mesh === undefined || triangles === undefined || first === undefined) return null;
  const packed = draco.pack(attributes, triangles);
  const plain = views.reduce((sum, view) => sum + (bufferViews[view]?.byteLength ?? 0), 0);
  if (packed === null || packed.bytes.byteLength >= plain) return null;
  for (const index of filled) {
    delete accessors[index]?.bufferView;
    delete accessors[index]?.byteOffset;
  }
  for (const view of views) delete bufferViews[view]?.byteStride;
  const attributeIds = Object.fromEntries(packed.ids);
  const again = { ...extension, bufferView: first, attributes: attributeIds };
  const extensions = { ...primitive.extensions, [DRACO]: again };
  const changed = kept.copied(primitive, { ...primitive, extensions });
  const place = mesh.primitives.indexOf(primitive);
  mesh.primitives = kept.copied(mesh.primitives, mesh.primitives.with(place, changed));
  return { stream: packed.bytes, views };
}

/** Takes out views that only accessors named, and that none names any longer. */
function dropViews(json: GltfJson, dropped: readonly number[]): void {
  const { accessors = [], bufferViews = [] } = json;
  json.bufferViews = bufferViews.filter((_, view) => !dropped.includes(view));
  // What follows a dropped view was added by a mend: only accessors name it.
  for (const accessor of accessors) {
    const { bufferView } = accessor;
    if (bufferView !== undefined)
      accessor.bufferView = bufferView - dropped.filter((view) => view < bufferView).length;
  }
}
