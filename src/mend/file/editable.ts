import { dirname } from 'node:path';
import type { TypedArray } from '@gltf-transform/core';
import { fromMemory, openFile } from '../../asset/byte-source.js';
import type { DecodedAccessor } from '../../asset/decode.js';
import { AssetError } from '../../asset/errors.js';
import {
  componentOf,
  extentOf,
  hasOwnBytes,
  put,
  setBounds,
  sizeOf,
  type Values,
} from '../json/accessor-bytes.js';
import { type AccessorUser, countUsers, pointAt, usedAccessor } from '../json/accessor-users.js';
import type { AccessorJson, GltfJson } from '../json/gltf-json.js';
import { packedForm, viewsOf } from '../json/packing.js';
import { urisIn } from '../json/uris.js';
import { Leftovers, stretchesIn } from './leftovers.js';
import { type Files, glbOf, PLAIN_DATA } from './pack-files.js';
import { type Parts, readParts } from './read-parts.js';

export type { Values } from '../json/accessor-bytes.js';

type Numbers = Pick<DecodedAccessor, 'array' | 'normalized'>;

/**
 * An asset opened to be changed. The JSON is as it was written, so that all that a mend does not
 * concern stays: key order, extras, unknown extensions, the text of all that did not change. Numbers are
 * changed in their place where one user alone reads a plain range of them; else the new ones go to the
 * end of the first buffer. What is packed stays so until it is written to.
 */
export class Editable {
  /** Change it freely, but for what accessors hold: that goes through `write`. */
  readonly json: GltfJson;
  /** Every file beside it that it named when it was opened. */
  readonly led: readonly string[];
  private readonly buffers: (Buffer | null)[];
  private readonly firstOpened: Buffer | null;
  private readonly changed = new Set<number>();
  /** Memory of buffers that grew. */
  private readonly rooms = new Map<number, Buffer>();
  /** What accessors hold that were written to. */
  private readonly written = new Map<number, Numbers>();
  private readonly leftovers: Leftovers;

  private constructor(private readonly parts: Parts) {
    this.json = parts.json;
    this.buffers = parts.buffers;
    this.firstOpened = parts.buffers[0] ?? null;
    this.led = this.externals();
    this.leftovers = new Leftovers(this.json, parts.unpacking);
  }

  /**
   * Reads an asset whole. Throws AssetError when it cannot be read.
   *
   * @param pack Whether what had to be unpacked is packed again when its files are made.
   */
  static async open(path: string, { pack = false } = {}): Promise<Editable> {
    const source = openFile(path);
    try {
      return new Editable(await readParts(source, dirname(path), pack));
    } finally {
      source.close();
    }
  }

  /** The same of an asset in memory; its external buffers are looked for in `folder`. */
  static async fromBytes(
    bytes: Uint8Array,
    folder: string | null = null,
    { pack = false } = {},
  ): Promise<Editable> {
    return new Editable(await readParts(fromMemory(bytes), folder, pack));
  }

  /** What a user's accessor holds, as stored; null where there is none, or its numbers are of another type. */
  read(user: AccessorUser): Values | null {
    const { array } = this.readAny(user) ?? {};
    const isStored =
      array instanceof Float32Array || array instanceof Uint16Array || array instanceof Uint8Array;
    return isStored ? array : null;
  }

  /** The same of any type of numbers. */
  readAny(user: AccessorUser): Numbers | null {
    const accessor = usedAccessor(this.json, user);
    if (accessor === null) return null;
    const { asset, draco } = this.parts;
    return this.written.get(accessor) ?? asset.decoded.get(accessor) ?? draco.get(accessor) ?? null;
  }

  /** Whether a user's values are no longer those of the file that was opened. */
  isWritten(user: AccessorUser): boolean {
    const accessor = usedAccessor(this.json, user);
    return accessor !== null && this.written.has(accessor);
  }

  /** Adds an accessor, and gives its index. */
  add(type: 'MAT4' | 'SCALAR' | 'VEC3' | 'VEC4', values: Values): number {
    const like = { componentType: componentOf(values), count: 0, type };
    this.json.accessors ??= [];
    return this.remember(this.json.accessors.push(this.append(like, values, false)) - 1, values);
  }

  /**
   * Gives a user other values, as many as it had; others that read the same keep theirs. An accessor
   * of another component type, a packed, a sparse or a shared one is replaced by a new one.
   */
  write(user: AccessorUser, values: Values): void {
    this.change([user], values);
  }

  /**
   * The same for several users of one accessor, which go on sharing one. They may be given fewer
   * elements than they had. Values that are there already are not written.
   */
  writeAll(users: readonly AccessorUser[], values: Values): void {
    const before = users[0] === undefined ? null : this.read(users[0]);
    const isSame =
      before?.length === values.length && before.every((value, at) => Object.is(value, values[at]));
    if (!isSame) this.change(users, values);
  }

  /** The same as `write`; users are counted once, since a file can have thousands of samplers and skins. */
  writeEach(items: readonly (readonly [user: AccessorUser, values: Values])[]): void {
    const counts = countUsers(this.json);
    for (const [user, values] of items) this.change([user], values, counts);
  }

  /** @param known How many users each accessor has; kept true. */
  private change(users: readonly AccessorUser[], values: Values, known?: number[]): void {
    this.unpackPrimitives(users);
    const index = users[0] === undefined ? null : usedAccessor(this.json, users[0]);
    const accessor = this.json.accessors?.[index ?? -1];
    if (index === null || accessor === undefined) return;
    const counts = known ?? countUsers(this.json);
    const count = counts[index] ?? 0;
    const shared = count > users.length;
    const isInPlace = !shared && this.overwrite(index, accessor, values);
    const isVertex = users[0]?.kind === 'attribute';
    const written = isInPlace ? index : this.replace(index, accessor, values, shared, isVertex);
    this.remember(written, values);
    if (!shared) return;
    for (const user of users) pointAt(this.json, user, written);
    counts[index] = count - users.length;
    counts[written] = users.length;
  }

  private remember(accessor: number, array: TypedArray): number {
    const normalized = this.json.accessors?.[accessor]?.normalized === true;
    this.written.set(accessor, { array, normalized });
    return accessor;
  }

  /** Separate files that were not changed: buffers, images and what else extensions name by a `uri`. */
  externals(): string[] {
    const { buffers, ...rest } = this.json;
    const unchanged = (buffers ?? []).filter((_, index) => !this.changed.has(index));
    return urisIn({ buffers: unchanged, ...rest });
  }

  /** What became of packed data in the files as they were made last, in sentences. */
  get notes(): readonly string[] {
    return this.parts.unpacking.notes;
  }

  /**
   * The files in their present state.
   *
   * @param stem Name, without its ending, for separate buffer files that changed; null for the name they have.
   */
  files(stem: string | null = null): Files {
    const { container, kept, chunk, others, unpacking } = this.parts;
    this.leftovers.take((from, to) => {
      const values = this.written.get(from);
      if (values !== undefined) this.written.set(to, values);
      this.written.delete(from);
    });
    const packed = unpacking.finish(this.json, this.buffers, this.changed, kept);
    const separate = new Map<string, Uint8Array>();
    const buffers = (packed.json.buffers ?? []).map((buffer, index) => {
      const bytes = packed.buffers[index];
      if (bytes == null || !this.changed.has(index)) return buffer;
      const changed = kept.copied(buffer, { ...buffer, byteLength: bytes.byteLength });
      if (buffer.uri === undefined) return changed;
      if (/^data:/i.test(buffer.uri))
        changed.uri = `${/^data:[^,]*;base64,/i.exec(buffer.uri)?.[0] ?? PLAIN_DATA}${bytes.toString('base64')}`;
      else {
        const number = separate.size === 0 ? '' : `-${separate.size + 1}`;
        if (stem !== null) changed.uri = encodeURIComponent(`${stem}${number}.bin`);
        separate.set(decodeURIComponent(changed.uri ?? buffer.uri), bytes);
      }
      return changed;
    });
    // The JSON goes on naming what was opened.
    const json = kept.copied(packed.json, { ...packed.json });
    if (packed.json.buffers !== undefined) json.buffers = kept.copied(packed.json.buffers, buffers);
    const text = kept.write(json);
    if (container.kind === 'gltf') return { main: Buffer.from(text), buffers: separate };
    const first = buffers[0]?.uri === undefined ? (packed.buffers[0] ?? null) : null;
    const binary = first === null || first === this.firstOpened ? chunk : first;
    return { main: glbOf(text, binary, others), buffers: separate };
  }

  /** Writes values where the accessor has them, if nothing else lies or reads there. */
  private overwrite(index: number, accessor: AccessorJson, values: Values): boolean {
    const { bufferView, byteOffset = 0, sparse, type, count } = accessor;
    const view = this.json.bufferViews?.[bufferView ?? -1];
    const size = sizeOf(type);
    if (
      view === undefined ||
      packedForm(view) !== null ||
      sparse !== undefined ||
      componentOf(values) !== accessor.componentType ||
      values.length > size * count
    )
      return false;
    const bytes = this.buffers[view.buffer];
    if (bytes == null || !hasOwnBytes(this.json, index)) return false;
    const width = values.BYTES_PER_ELEMENT;
    const stride = view.byteStride ?? size * width;
    const start = (view.byteOffset ?? 0) + byteOffset;
    const before = stretchesIn(this.json, accessor);
    accessor.count = values.length / size;
    const end = start + extentOf({ ...accessor, byteOffset: 0 }, view.byteStride)[1];
    const freed = before.map((stretch) => ({ ...stretch, start: end }));
    this.parts.unpacking.leave(
      this.json,
      [],
      freed.filter((stretch) => stretch.start < stretch.end),
    );
    putAll(bytes, start, stride, values, size);
    setBounds(accessor, values, size);
    this.changed.add(view.buffer);
    return true;
  }

  /** Replaces an accessor, or adds one behind all where that is shared. Gives the index of the new one. */
  private replace(
    index: number,
    accessor: AccessorJson,
    values: TypedArray,
    shared: boolean,
    isVertex: boolean,
  ): number {
    const { json } = this;
    const { unpacking } = this.parts;
    const packing = viewsOf(accessor)
      .map((view) => unpacking.packingOf(json, view))
      .find((name) => name !== null);
    if (!shared) {
      // While its place is empty it names no view.
      const { bufferView: _, sparse: __, ...nowhere } = accessor;
      const before = packing === undefined ? stretchesIn(json, accessor) : [];
      json.accessors?.splice(index, 1, nowhere);
      unpacking.leave(json, viewsOf(accessor), before);
    }
    const place = shared ? (json.accessors?.length ?? 0) : index;
    const fresh = this.append(accessor, values, isVertex);
    json.accessors?.splice(place, 1, fresh);
    if (packing !== undefined && fresh.bufferView !== undefined)
      unpacking.unpacked(fresh.bufferView, packing);
    return place;
  }

  /** Makes the packed primitives among the users plain, as a whole. */
  private unpackPrimitives(users: readonly AccessorUser[]): void {
    const { json, parts } = this;
    const primitives = users.flatMap((user) =>
      user.kind === 'attribute' ? (json.meshes?.[user.mesh]?.primitives[user.primitive] ?? []) : [],
    );
    const filled = parts.unpacking.openPrimitives(json, primitives);
    if (filled.size === 0) return;
    const counts = countUsers(json);
    for (const [index, places] of filled) {
      const accessor = json.accessors?.[index];
      const values = parts.draco.get(index)?.array;
      if (accessor === undefined || values === undefined)
        throw new AssetError('its packed primitive cannot be unpacked', `/accessors/${index}`);
      const shared = (counts[index] ?? 0) > places.length;
      const isVertex = places.some(({ name }) => name !== null);
      const plain = this.replace(index, accessor, values, shared, isVertex);
      if (plain !== index) this.remember(plain, values);
      for (const { primitive, name } of places)
        if (name === null) primitive.indices = plain;
        else primitive.attributes[name] = plain;
    }
  }

  /** An accessor like another, with values at the end of the first buffer that holds bytes. */
  private append(accessor: AccessorJson, values: TypedArray, isVertex: boolean): AccessorJson {
    const { bufferView: _, byteOffset: __, sparse: ___, ...rest } = accessor;
    const { json, parts } = this;
    const buffer = this.home();
    const before = this.buffers[buffer] ?? Buffer.alloc(0);
    const byteOffset = Math.ceil(before.byteLength / 4) * 4;
    const size = sizeOf(accessor.type);
    const element = size * values.BYTES_PER_ELEMENT;
    // Vertices begin on multiples of four bytes (glTF 2.0, 3.6.2.4).
    const stride = isVertex ? Math.ceil(element / 4) * 4 : element;
    const count = values.length / size;
    const place = { buffer, byteOffset, byteLength: stride * count };
    const bytes = this.grown(buffer, before, byteOffset + place.byteLength);
    putAll(bytes, byteOffset, stride, values, size);
    this.buffers[buffer] = bytes;
    this.changed.add(buffer);
    const layout = { stride, isNeeded: stride !== element, isVertex };
    const fresh: AccessorJson = {
      ...rest,
      bufferView: parts.unpacking.view(json, place, layout),
      componentType: componentOf(values),
      count,
    };
    if (values instanceof Float32Array) delete fresh.normalized;
    setBounds(fresh, values, size);
    return parts.kept.copied(accessor, fresh);
  }

  /** A buffer's bytes with zeros behind them; with room to spare, since a clip may add thousands of accessors. */
  private grown(buffer: number, before: Buffer, length: number): Buffer {
    let room = this.rooms.get(buffer);
    // Bytes that were dropped meanwhile are still in the room.
    const isIn = room?.buffer === before.buffer && room.byteOffset === before.byteOffset;
    if (room === undefined || !isIn || room.byteLength < length) {
      room = Buffer.alloc(2 * length);
      before.copy(room);
      this.rooms.set(buffer, room);
    }
    return room.subarray(0, length);
  }

  /** The first buffer that holds bytes. A skeleton alone may have none: one within the file is added then. */
  private home(): number {
    this.json.buffers ??= [];
    const found = this.json.buffers.findIndex((_, index) => this.buffers[index] != null);
    if (found !== -1) return found;
    const { container, chunk } = this.parts;
    const isChunk = container.kind === 'glb' && this.json.buffers.length === 0;
    const data = isChunk ? {} : { uri: PLAIN_DATA };
    const added = this.json.buffers.push({ byteLength: 0, ...data }) - 1;
    // A binary chunk that no buffer names is kept all the same.
    this.buffers[added] = isChunk && chunk !== null ? chunk : Buffer.alloc(0);
    return added;
  }
}

/** Writes values as elements of `size` numbers, `stride` bytes from one to the next. */
function putAll(bytes: Buffer, start: number, stride: number, values: TypedArray, size: number) {
  for (let i = 0; i < values.length; i++) {
    const place = start + Math.floor(i / size) * stride + (i % size) * values.BYTES_PER_ELEMENT;
    put(bytes, place, values, i);
  }
}
