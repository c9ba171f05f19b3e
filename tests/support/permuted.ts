import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** A JSON object of a glTF document. */
type Json = Record<string, unknown>;

/** A glTF 2.0 document with its buffers. */
export interface Stored {
  readonly json: Json;
  readonly buffers: readonly Uint8Array[];
}

/** The lists of a document whose order means nothing (glTF 2.0, 3.2: assets refer by index). */
const LISTS = ['nodes', 'skins', 'meshes', 'accessors', 'bufferViews', 'animations', 'cameras'];

/** Reads a `.glb`, or a `.gltf` or `.vrm` with the buffers it refers to. */
export function readStored(path: string): Stored {
  return storedIn(readFileSync(path), dirname(path));
}

/** The same from memory; other files are looked for in `folder`. */
export function storedIn(given: Uint8Array, folder = '.'): Stored {
  const bytes = Buffer.from(given.buffer, given.byteOffset, given.byteLength);
  if (bytes.readUInt32LE(0) !== 0x46546c67) {
    const json = JSON.parse(bytes.toString('utf8')) as Json;
    return { json, buffers: list(json.buffers).map((item) => bufferOf(item, folder)) };
  }
  const length = bytes.readUInt32LE(12);
  const json = JSON.parse(bytes.toString('utf8', 20, 20 + length)) as Json;
  const start = 20 + length + 8;
  const buffers = list(json.buffers).map((item, index) =>
    index === 0 && item.uri === undefined
      ? new Uint8Array(bytes.subarray(start, start + Number(item.byteLength)))
      : bufferOf(item, folder),
  );
  return { json, buffers };
}

function bufferOf({ uri }: Json, folder: string): Uint8Array {
  const text = String(uri);
  const data = /^data:[^,]*;base64,(.*)$/s.exec(text);
  if (data !== null) return new Uint8Array(Buffer.from(data[1] ?? '', 'base64'));
  return new Uint8Array(readFileSync(fileURLToPath(new URL(text, `file://${join(folder, '/')}`))));
}

/**
 * The same asset in another order: nodes, siblings, skins, meshes, accessors, buffers with their
 * views, and clips with their channels are shuffled, and all that refers to them follows.
 *
 * @param random Numbers from 0 to 1.
 */
export function permuted({ json: given, buffers }: Stored, random: () => number): Stored {
  const json = structuredClone(given);
  const maps = new Map<string, Int32Array>();
  for (const name of LISTS) {
    const items = list(json[name]);
    if (items.length === 0) continue;
    const order = shuffled(items.length, random);
    const map = new Int32Array(items.length);
    order.forEach((from, to) => {
      map[from] = to;
    });
    maps.set(name, map);
    json[name] = order.map((from) => items[from]);
  }
  const to = (name: string, index: unknown): unknown =>
    typeof index === 'number' ? (maps.get(name)?.[index] ?? index) : index;
  follow(json, to);
  for (const node of list(json.nodes)) shuffleIn(node, 'children', random);
  for (const scene of list(json.scenes)) shuffleIn(scene, 'nodes', random);
  for (const clip of list(json.animations)) shuffleIn(clip, 'channels', random);
  return scattered(json, buffers, random);
}

type To = (list: string, index: unknown) => unknown;

/** Sets every index that a document holds to where its target has gone. */
function follow(json: Json, to: To): void {
  for (const node of list(json.nodes)) {
    set(node, 'mesh', 'meshes', to);
    set(node, 'skin', 'skins', to);
    set(node, 'camera', 'cameras', to);
    setAll(node, 'children', 'nodes', to);
    const instanced = at(node, 'extensions', 'EXT_mesh_gpu_instancing', 'attributes');
    for (const key of Object.keys(instanced)) set(instanced, key, 'accessors', to);
    const constraint = at(node, 'extensions', 'VRMC_node_constraint', 'constraint');
    for (const kind of Object.values(constraint)) set(object(kind), 'source', 'nodes', to);
  }
  for (const scene of list(json.scenes)) setAll(scene, 'nodes', 'nodes', to);
  for (const skin of list(json.skins)) {
    setAll(skin, 'joints', 'nodes', to);
    set(skin, 'skeleton', 'nodes', to);
    set(skin, 'inverseBindMatrices', 'accessors', to);
  }
  for (const mesh of list(json.meshes))
    for (const primitive of list(mesh.primitives)) {
      const targets = list(primitive.targets);
      for (const group of [object(primitive.attributes), ...targets])
        for (const key of Object.keys(group)) set(group, key, 'accessors', to);
      set(primitive, 'indices', 'accessors', to);
      set(
        at(primitive, 'extensions', 'KHR_draco_mesh_compression'),
        'bufferView',
        'bufferViews',
        to,
      );
    }
  for (const accessor of list(json.accessors)) {
    set(accessor, 'bufferView', 'bufferViews', to);
    set(at(accessor, 'sparse', 'indices'), 'bufferView', 'bufferViews', to);
    set(at(accessor, 'sparse', 'values'), 'bufferView', 'bufferViews', to);
  }
  for (const image of list(json.images)) set(image, 'bufferView', 'bufferViews', to);
  for (const clip of list(json.animations)) {
    for (const sampler of list(clip.samplers)) {
      set(sampler, 'input', 'accessors', to);
      set(sampler, 'output', 'accessors', to);
    }
    for (const { target } of list(clip.channels)) {
      set(object(target), 'node', 'nodes', to);
      const pointer = at(object(target), 'extensions', 'KHR_animation_pointer');
      const way = /^\/(\w+)\/(\d+)(.*)$/s.exec(String(pointer.pointer));
      if (way !== null) pointer.pointer = `/${way[1]}/${to(way[1] ?? '', Number(way[2]))}${way[3]}`;
    }
  }
  followHumanoid(json, to);
}

/** VRM 0.x and 1.0 name the nodes of a humanoid. */
function followHumanoid(json: Json, to: To): void {
  for (const bone of list(at(json, 'extensions', 'VRM', 'humanoid').humanBones))
    set(bone, 'node', 'nodes', to);
  for (const bone of Object.values(at(json, 'extensions', 'VRMC_vrm', 'humanoid', 'humanBones')))
    set(object(bone), 'node', 'nodes', to);
}

/** Copies the views of a document into one to three buffers, in their new order. */
function scattered(json: Json, buffers: readonly Uint8Array[], random: () => number): Stored {
  const views = list(json.bufferViews);
  // Compressed views speak of their bytes a second time.
  if (views.some((view) => view.extensions !== undefined)) return { json, buffers };
  const count = Math.min(views.length, 1 + Math.floor(3 * random()));
  const parts: Uint8Array[][] = Array.from({ length: count }, () => []);
  const ends = parts.map(() => 0);
  views.forEach((view, index) => {
    const buffer = index < count ? index : Math.floor(count * random());
    const start = Number(view.byteOffset ?? 0);
    const length = Number(view.byteLength);
    const source = buffers[Number(view.buffer)] ?? new Uint8Array();
    const padded = new Uint8Array(8 * Math.ceil(length / 8));
    padded.set(source.subarray(start, start + length));
    view.buffer = buffer;
    view.byteOffset = ends[buffer];
    parts[buffer]?.push(padded);
    ends[buffer] = (ends[buffer] ?? 0) + padded.byteLength;
  });
  if (views.length === 0) return { json, buffers };
  const joined = parts.map((list) => new Uint8Array(Buffer.concat(list)));
  json.buffers = joined.map(({ byteLength }) => ({ byteLength }));
  return { json, buffers: joined };
}

/** As a `.gltf` that holds its buffers. */
export function asGltf({ json, buffers }: Stored): Uint8Array {
  const held = buffers.map((bytes) => ({
    byteLength: bytes.byteLength,
    uri: `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`,
  }));
  return Buffer.from(JSON.stringify({ ...json, ...(held.length > 0 && { buffers: held }) }));
}

/** As a `.glb`; buffers after the first are held as text. */
export function asGlb({ json, buffers }: Stored): Uint8Array {
  const [first = new Uint8Array(), ...others] = buffers;
  const held = others.map((bytes) => ({
    byteLength: bytes.byteLength,
    uri: `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`,
  }));
  const all = buffers.length > 0 && { buffers: [{ byteLength: first.byteLength }, ...held] };
  const text = Buffer.from(JSON.stringify({ ...json, ...all }));
  const chunks = [
    chunk(0x4e4f534a, text, 0x20),
    ...(buffers.length > 0 ? [chunk(0x004e4942, Buffer.from(first), 0)] : []),
  ];
  const head = Buffer.alloc(12);
  head.writeUInt32LE(0x46546c67, 0);
  head.writeUInt32LE(2, 4);
  head.writeUInt32LE(12 + chunks.reduce((sum, { byteLength }) => sum + byteLength, 0), 8);
  return Buffer.concat([head, ...chunks]);
}

function chunk(type: number, data: Buffer, padding: number): Buffer {
  const rest = Buffer.alloc((4 - (data.byteLength % 4)) % 4, padding);
  const head = Buffer.alloc(8);
  head.writeUInt32LE(data.byteLength + rest.byteLength, 0);
  head.writeUInt32LE(type, 4);
  return Buffer.concat([head, data, rest]);
}

/** Numbers from 0 to 1, the same for the same seed: mulberry32, in the public domain. */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Fisher and Yates. */
function shuffled(count: number, random: () => number): number[] {
  const order = Array.from({ length: count }, (_, index) => index);
  for (let at = count - 1; at > 0; at--) {
    const other = Math.floor((at + 1) * random());
    [order[at], order[other]] = [order[other] ?? 0, order[at] ?? 0];
  }
  return order;
}

function shuffleIn(owner: Json, key: string, random: () => number): void {
  const items = owner[key];
  if (Array.isArray(items)) owner[key] = shuffled(items.length, random).map((from) => items[from]);
}

function set(owner: Json, key: string, name: string, to: To): void {
  if (owner[key] !== undefined) owner[key] = to(name, owner[key]);
}

function setAll(owner: Json, key: string, name: string, to: To): void {
  const items = owner[key];
  if (Array.isArray(items)) owner[key] = items.map((index: unknown) => to(name, index));
}

function at(owner: Json, ...keys: readonly string[]): Json {
  return keys.reduce((inner, key) => object(inner[key]), owner);
}

/** An object as it is, so that what is set in it is set in its owner; a new one where there is none. */
function object(value: unknown): Json {
  // Holds for every object that JSON.parse makes and that is no list.
  return typeof value === 'object' && value !== null ? (value as Json) : {};
}

function list(value: unknown): Json[] {
  return Array.isArray(value) ? value.map(object) : [];
}
