import { dirname } from 'node:path';
import type { TypedArray } from '@gltf-transform/core';
import { type ByteSource, fromMemory, openFile } from '../../asset/byte-source.js';
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

/** How an asset is opened to be changed. */
export interface EditOptions {
  /** Pack what had to be unpacked again when its files are made. */
  readonly pack?: boolean;
}

/**
 * An asset opened to be changed. The JSON is as it was written, so that all that a mend does not
 * concern stays: key order, extras, unknown extensions, the text of all that did not change. Numbers are
 * changed in their place where one user alone reads a plain range of them; else what is new goes to the
 * end of the first buffer. What is packed stays so until it is written to.
 */
export class Editable {
  /** Change it freely, but for what accessors hold: that goes through `write`. */
  readonly json: GltfJson;
  private readonly buffers: (Buffer | null)[];
  private readonly firstOpened: Buffer | null;
  private readonly sources: readonly string[];
  private readonly changed = new Set<number>();
  /** What buffers that grew stand in. */
  private readonly rooms = new Map<number, Buffer>();
  /** What accessors hold that were written to. */
  private readonly written = new Map<number, Pick<DecodedAccessor, 'array' | 'normalized'>>();
  private readonly leftovers: Leftovers;

  private constructor(private readonly parts: Parts) {
    // That it parsed as a document has shown that it is one.
    this.json = parts.kept.json as GltfJson;
    this.buffers = parts.buffers;
    this.firstOpened = parts.buffers[0] ?? null;
    this.sources = this.externals();
    this.leftovers = new Leftovers(this.json, parts.unpacking);
  }

  /** Reads an asset whole. Throws AssetError when it cannot be read. */
  static async open(path: string, options: EditOptions = {}): Promise<Editable> {
    const source = openFile(path);
    try {
      return await Editable.from(source, dirname(path), options);
    } finally {
      source.close();
    }
  }

  /** The same of an asset in memory; its external buffers are looked for in `folder`. */
  static fromBytes(
    bytes: Uint8Array,
    folder: string | null = null,
    options: EditOptions = {},
  ): Promise<Editable> {
    return Editable.from(fromMemory(bytes), folder, options);
  }

  private static async from(
    source: ByteSource,
    folder: string | null,
    { pack = false }: EditOptions,
  ): Promise<Editable> {
    return new Editable(await readParts(source, folder, pack));
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
    const { asset, draco } = this.parts;
    return this.written.get(accessor) ?? asset.decoded.get(accessor) ?? draco.get(accessor) ?? null;
  }

  /** Adds an accessor, and gives its index. */
  add(type: 'MAT4' | 'SCALAR' | 'VEC3' | 'VEC4', values: Values): number {
    const like = { componentType: componentOf(values), count: 0, type };
    this.json.accessors ??= [];
    const index = this.json.accessors.push(this.append(like, values, false)) - 1;
    this.remember(index, values);
    return index;
  }

  /**
   * Gives a user other values, as many as it had; others that read the same keep theirs. An accessor
   * of another component type, a packed, a sparse or a shared one is replaced by one of its own.
   */
  write(user: AccessorUser, values: Values): void {
    this.writeAll([user], values);
  }

  /**
   * The same for several users of one accessor, which go on sharing one. They may be given fewer
   * elements than they had.
   */
  writeAll(users: readonly AccessorUser[], values: Values): void {
    this.change(users, values, () => countUsers(this.json));
  }

  /**
   * The same as `write` for many users, who are counted once: a file can have thousands of samplers and skins.
   */
  writeEach(items: readonly (readonly [user: AccessorUser, values: Values])[]): void {
    const counts = countUsers(this.json);
    for (const [user, values] of items) {
      const index = usedAccessor(this.json, user);
      this.change([user], values, () => counts);
      const now = usedAccessor(this.json, user);
      if (index === null || now === null || now === index) continue;
      counts[index] = (counts[index] ?? 0) - 1;
      counts[now] = (counts[now] ?? 0) + 1;
    }
  }

  private change(
    users: readonly AccessorUser[],
    values: Values,
    count: () => readonly number[],
  ): void {
    this.unpackPrimitives(users);
    const index = users[0] === undefined ? null : usedAccessor(this.json, users[0]);
    const accessor = index === null ? undefined : this.json.accessors?.[index];
    if (index === null || accessor === undefined) return;
    const shared = (count()[index] ?? 0) > users.length;
    if (!shared && this.overwrite(index, accessor, values)) {
      this.remember(index, values);
      return;
    }
    const isVertex = users[0]?.kind === 'attribute';
    const own = this.replace(index, accessor, values, shared, isVertex);
    for (const user of users) pointAt(this.json, user, own);
    this.remember(own, values);
  }

  private remember(accessor: number, array: TypedArray): void {
    const normalized = this.json.accessors?.[accessor]?.normalized === true;
    this.written.set(accessor, { array, normalized });
  }

  /** Every file beside it that it led to when it was opened. */
  get led(): readonly string[] {
    return this.sources;
  }

  /**
   * Buffers, images and what else extensions name by a `uri` that stand in files of their own and were
   * not changed.
   */
  externals(): string[] {
    const { buffers, ...rest } = this.json;
    const unchanged = (buffers ?? []).filter((_, index) => !this.changed.has(index));
    return urisIn({ buffers: unchanged, ...rest });
  }

  /** What a user is to know of packed data, of the files as they were made last. */
  get notes(): readonly string[] {
    return this.parts.unpacking.notes;
  }

  /**
   * The files as they now stand.
   *
   * @param stem Name, without its ending, that buffers in files of their own are given where they changed; those
   * of the file that was opened stay as they are.
   */
  files(stem: string | null = null): Files {
    const { container, kept, chunk, others, unpacking } = this.parts;
    this.leftovers.take((from, to) => {
      const values = this.written.get(from);
      if (values !== undefined) this.written.set(to, values);
      this.written.delete(from);
    });
    const made = unpacking.finish(this.json, this.buffers, this.changed, kept);
    const own = new Map<string, Uint8Array>();
    const buffers = (made.json.buffers ?? []).map((buffer, index) => {
      const bytes = made.buffers[index];
      if (bytes == null || !this.changed.has(index)) return buffer;
      const changed = kept.copied(buffer, { ...buffer, byteLength: bytes.byteLength });
      if (buffer.uri === undefined) return changed;
      if (/^data:/i.test(buffer.uri))
        changed.uri = `${/^data:[^,]*;base64,/i.exec(buffer.uri)?.[0] ?? PLAIN_DATA}${bytes.toString('base64')}`;
      else {
        const name =
          stem === null ? null : `${stem}${own.size === 0 ? '' : `-${own.size + 1}`}.bin`;
        own.set(name ?? decodeURIComponent(buffer.uri), bytes);
        if (name !== null) changed.uri = encodeURIComponent(name);
      }
      return changed;
    });
    // The JSON goes on naming what was opened.
    const json = kept.copied(made.json, { ...made.json });
    if (made.json.buffers !== undefined) json.buffers = kept.copied(made.json.buffers, buffers);
    const text = kept.write(json);
    if (container.kind === 'gltf') return { main: Buffer.from(text), buffers: own };
    const first = buffers[0]?.uri === undefined ? (made.buffers[0] ?? null) : null;
    const isOpened = first === null || first === this.firstOpened;
    return { main: glbOf(text, isOpened ? chunk : first, others), buffers: own };
  }

  /** Writes values where the accessor has them, if nothing else lies or reads there. */
  private overwrite(index: number, accessor: AccessorJson, values: Values): boolean {
    const { bufferView, byteOffset = 0, sparse, type, count } = accessor;
    const view = bufferView === undefined ? undefined : this.json.bufferViews?.[bufferView];
    if (
      view === undefined ||
      packedForm(view) !== null ||
      sparse !== undefined ||
      componentOf(values) !== accessor.componentType
    )
      return false;
    const size = sizeOf(type);
    if (values.length > size * count) return false;
    const width = values.BYTES_PER_ELEMENT;
    const stride = view.byteStride ?? size * width;
    const bytes = this.buffers[view.buffer];
    if (bytes == null || !hasOwnBytes(this.json, index)) return false;
    const start = (view.byteOffset ?? 0) + byteOffset;
    const before = stretchesIn(this.json, accessor);
    accessor.count = values.length / size;
    const end = start + extentOf({ ...accessor, byteOffset: 0 }, view.byteStride)[1];
    this.parts.unpacking.leave(
      this.json,
      [],
      before.map((stretch) => ({ ...stretch, start: end })).filter((rest) => rest.start < rest.end),
    );
    for (let element = 0; element < accessor.count; element++)
      for (let i = 0; i < size; i++)
        put(bytes, start + element * stride + i * width, values, element * size + i);
    setBounds(accessor, values, size);
    this.changed.add(view.buffer);
    return true;
  }

  /**
   * Puts an accessor with these values in the place of another, or behind all where that is shared, and
   * gives its index.
   */
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
    const own = shared ? (json.accessors?.length ?? 0) : index;
    if (!shared) {
      // While its place is empty it names no view.
      const { bufferView: _, sparse: __, ...nowhere } = accessor;
      const before = packing === undefined ? stretchesIn(json, accessor) : [];
      json.accessors?.splice(index, 1, nowhere);
      unpacking.leave(json, viewsOf(accessor), before);
    }
    const fresh = this.append(accessor, values, isVertex);
    json.accessors?.splice(own, 1, fresh);
    if (packing !== undefined && fresh.bufferView !== undefined)
      unpacking.unpacked(fresh.bufferView, packing);
    return own;
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
      const own = this.replace(index, accessor, values, shared, isVertex);
      if (own !== index) this.remember(own, values);
      for (const { primitive, name } of places)
        if (name === null) primitive.indices = own;
        else primitive.attributes[name] = own;
    }
  }

  /** An accessor like another, with values at the end of the first buffer that holds bytes. */
  private append(accessor: AccessorJson, values: TypedArray, isVertex: boolean): AccessorJson {
    const { bufferView: _, byteOffset: __, sparse: ___, ...rest } = accessor;
    const { json, parts } = this;
    const { unpacking, kept } = parts;
    const buffer = this.home();
    const before = this.buffers[buffer] ?? Buffer.alloc(0);
    const start = Math.ceil(before.byteLength / 4) * 4;
    const size = sizeOf(accessor.type);
    const element = size * values.BYTES_PER_ELEMENT;
    // Vertices stand on multiples of four bytes (glTF 2.0, 3.6.2.4).
    const stride = isVertex ? Math.ceil(element / 4) * 4 : element;
    const count = values.length / size;
    const bytes = this.grown(buffer, before, start + stride * count);
    for (let i = 0; i < values.length; i++)
      put(
        bytes,
        start + Math.floor(i / size) * stride + (i % size) * values.BYTES_PER_ELEMENT,
        values,
        i,
      );
    this.buffers[buffer] = bytes;
    this.changed.add(buffer);
    const place = { buffer, byteOffset: start, byteLength: stride * count };
    const fresh: AccessorJson = {
      ...rest,
      bufferView: unpacking.view(json, place, { stride, isNeeded: stride !== element, isVertex }),
      componentType: componentOf(values),
      count,
    };
    if (values instanceof Float32Array) delete fresh.normalized;
    setBounds(fresh, values, size);
    return kept.copied(accessor, fresh);
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
    const added = this.json.buffers.push({
      byteLength: 0,
      ...(!isChunk && { uri: PLAIN_DATA }),
    });
    // A binary chunk that no buffer names is somebody's all the same.
    this.buffers[added - 1] = isChunk && chunk !== null ? chunk : Buffer.alloc(0);
    return added - 1;
  }
}
