import { readPlain, sizeOf } from '../json/accessor-bytes.js';
import { countUsers } from '../json/accessor-users.js';
import type { BufferViewJson, GltfJson, PrimitiveJson } from '../json/gltf-json.js';
import type { KeptJson } from '../json/kept-json.js';
import { DRACO, isFallback, type MeshoptName, viewsOf } from '../json/packing.js';
import type { DracoPacker, PlainAttribute } from './packing-draco.js';

/** A primitive that had to be unpacked, and what it was packed by. */
export interface UnpackedPrimitive {
  readonly primitive: PrimitiveJson;
  readonly extension: Readonly<Record<string, unknown>>;
  /** The attributes that were packed. */
  readonly names: readonly string[];
}

/** What had to be unpacked since a file was opened. All views named here end the first buffer. */
export interface Unpacked {
  /** Views that hold one accessor each, and what it was packed by. */
  readonly views: ReadonlyMap<number, { readonly name: MeshoptName; readonly place: Place | null }>;
  readonly primitives: readonly UnpackedPrimitive[];
  /** All views at the end of the buffer, packed before or not, in the order in which they stand. */
  readonly tail: readonly number[];
  /** How many views there were. */
  readonly viewCount: number;
  /** The buffer whose end they are. */
  readonly home: number;
}

/** What a packed view unpacks to, in a buffer that holds no bytes. */
export interface Place {
  readonly buffer: number;
  readonly byteOffset: number;
  readonly byteLength: number;
}

export interface Packers {
  /** Packs elements of so many bytes without loss, as version 0 or 1 of the format. */
  readonly meshopt:
    | ((bytes: Uint8Array, count: number, stride: number, version: number) => Uint8Array)
    | null;
  readonly draco: DracoPacker | null;
}

export interface PackedAgain {
  readonly json: GltfJson;
  readonly bytes: Buffer;
  /** Views and primitives of `Unpacked` that are packed now. */
  readonly views: ReadonlySet<number>;
  readonly primitives: ReadonlySet<UnpackedPrimitive>;
}

/**
 * A copy of a file in which what had to be unpacked is packed again, each where that is exact and makes
 * it smaller. The file itself stays plain, so that it can be written to again.
 *
 * @param bytes The buffer that `unpacked.home` names.
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
  for (const view of unpacked.tail) {
    const { byteOffset = 0, byteLength } = bufferViews[view] ?? { byteLength: 0 };
    contents.set(view, bytes.subarray(byteOffset, byteOffset + byteLength));
  }
  const start = Math.min(
    bytes.byteLength,
    ...unpacked.tail.map((view) => bufferViews[view]?.byteOffset ?? 0),
  );
  const packedViews = new Map<number, { name: MeshoptName; form: Record<string, unknown> }>();
  if (meshopt !== null)
    for (const [view, { name, place }] of unpacked.views) {
      const plain = bufferViews[view];
      const own = accessors.filter((accessor) => viewsOf(accessor).includes(view));
      const [accessor] = own;
      if (plain === undefined || accessor === undefined || own.length > 1) continue;
      const required = copy.extensionsRequired?.includes(name) === true;
      const values = readPlain(bytes, plain, accessor);
      const stride = (values.BYTES_PER_ELEMENT * values.length) / accessor.count;
      // Elements of the format are of whole words, 256 bytes at most; who need not know it reads plain bytes.
      if (!required || stride % 4 !== 0 || stride > 256) continue;
      const raw = new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
      const version = name === 'KHR_meshopt_compression' ? 1 : 0;
      const small = meshopt(raw, accessor.count, stride, version);
      if (small.byteLength >= plain.byteLength) continue;
      contents.set(view, small);
      const form = { byteStride: stride, mode: 'ATTRIBUTES', count: accessor.count };
      packedViews.set(view, { name, form });
      bufferViews[view] = standIn(copy, plain, name, raw.byteLength, stride, place);
    }
  const packedPrimitives = new Set<UnpackedPrimitive>();
  // Views of a primitive that one packed stream now stands for, by the view of that.
  const stand = new Map<number, readonly number[]>();
  if (draco !== null)
    for (const item of packablePrimitives(json, unpacked)) {
      const packed = packPrimitive(copy, bytes, item, draco, kept);
      if (packed === null) continue;
      for (const view of packed.views) contents.delete(view);
      const [first = -1, ...others] = packed.views;
      contents.set(first, packed.stream);
      stand.set(first, others);
      packedPrimitives.add(item);
    }
  const out = [bytes.subarray(0, start)];
  let end = start;
  for (const view of unpacked.tail) {
    const content = contents.get(view);
    if (content === undefined) continue;
    const gap = (4 - (end % 4)) % 4;
    out.push(Buffer.alloc(gap), Buffer.from(content));
    const place = { buffer: unpacked.home, byteOffset: end + gap, byteLength: content.byteLength };
    end += gap + content.byteLength;
    const packed = packedViews.get(view);
    const stored = bufferViews[view];
    if (stored === undefined) continue;
    if (packed !== undefined)
      stored.extensions = { ...stored.extensions, [packed.name]: { ...place, ...packed.form } };
    else
      for (const shown of [stored, ...(stand.get(view) ?? []).map((other) => bufferViews[other])])
        if (shown !== undefined) Object.assign(shown, place);
  }
  dropViews(copy, new Set([...stand.values()].flat().filter((view) => view >= unpacked.viewCount)));
  return {
    json: copy,
    bytes: Buffer.concat(out),
    views: new Set(packedViews.keys()),
    primitives: packedPrimitives,
  };
}

/** A copy as deep as packing changes it. */
function shallow(json: GltfJson, kept: KeptJson): GltfJson {
  const list = <T extends object>(items: T[] | undefined, copy: (item: T) => T): T[] | undefined =>
    items === undefined
      ? undefined
      : kept.copied(
          items,
          items.map((item) => kept.copied(item, copy(item))),
        );
  const copy = kept.copied(json, { ...json });
  const [accessors, bufferViews, buffers, meshes] = [
    list(json.accessors, (item) => ({ ...item })),
    list(json.bufferViews, (item) => ({ ...item })),
    list(json.buffers, (item) => ({ ...item })),
    list(json.meshes, (item) => ({ ...item })),
  ];
  if (accessors !== undefined) copy.accessors = accessors;
  if (bufferViews !== undefined) copy.bufferViews = bufferViews;
  if (buffers !== undefined) copy.buffers = buffers;
  if (meshes !== undefined) copy.meshes = meshes;
  return copy;
}

/** A view of what is packed: it shows bytes that no buffer holds. */
function standIn(
  json: GltfJson,
  plain: BufferViewJson,
  name: MeshoptName,
  byteLength: number,
  stride: number,
  place: Place | null,
): BufferViewJson {
  const { byteStride } = plain;
  const rest = { ...plain, byteLength, ...(byteStride !== undefined && { byteStride: stride }) };
  if (place !== null && byteLength <= place.byteLength)
    return { ...rest, buffer: place.buffer, byteOffset: place.byteOffset };
  json.buffers ??= [];
  let buffer = json.buffers.findIndex((item) => isFallback(item) && item.uri === undefined);
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
    filledBy(primitive, names).every((accessor) => {
      const item = json.accessors?.[accessor];
      const [view, ...more] = item === undefined ? [] : viewsOf(item);
      const isOwn = view !== undefined && more.length === 0 && tail.includes(view);
      return isOwn && users[accessor] === 1;
    }),
  );
}

function filledBy({ attributes, indices }: PrimitiveJson, names: readonly string[]): number[] {
  return [...names.map((name) => attributes[name]), indices].filter(
    (accessor) => accessor !== undefined,
  );
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
  const ids = Object.fromEntries(packed.ids);
  const again = { ...extension, bufferView: first, attributes: ids };
  const changed = { ...primitive, extensions: { ...primitive.extensions, [DRACO]: again } };
  mesh.primitives = kept.copied(
    mesh.primitives,
    mesh.primitives.map((item) => (item === primitive ? kept.copied(item, changed) : item)),
  );
  return { stream: packed.bytes, views };
}

/** Takes out views that accessors alone named, and that none names any longer. */
function dropViews(json: GltfJson, dropped: ReadonlySet<number>): void {
  if (dropped.size === 0) return;
  const place: number[] = [];
  let next = 0;
  json.bufferViews?.forEach((_, view) => {
    place.push(dropped.has(view) ? -1 : next++);
  });
  json.bufferViews = json.bufferViews?.filter((_, view) => !dropped.has(view)) ?? [];
  // What follows a dropped view was added by a mend: accessors alone name it.
  for (const accessor of json.accessors ?? [])
    if (accessor.bufferView !== undefined) accessor.bufferView = place[accessor.bufferView] ?? -1;
}
