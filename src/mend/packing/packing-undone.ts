import { AssetError } from '../../asset/errors.js';
import { memberOf } from '../../asset/narrow.js';
import type { BufferViewJson, GltfJson, PrimitiveJson } from '../json/gltf-json.js';
import type { KeptJson } from '../json/kept-json.js';
import {
  DRACO,
  dracoForm,
  isFallback,
  isPacking,
  isPackingUsed,
  isViewRead,
  MESHOPT,
  type MeshoptName,
  needsQuantization,
  packedForm,
  type Stretch,
  stretchesOf,
  viewsNamedElsewhere,
} from '../json/packing.js';
import { type Packers, type Place, packAgain, type UnpackedPrimitive } from './packing-again.js';
import { packingNotes } from './packing-notes.js';
import { sweep } from './packing-space.js';

/** One place in a packed primitive that an accessor fills: an attribute, or the indices (null). */
export interface Filled {
  readonly primitive: PrimitiveJson;
  readonly name: string | null;
}

/** The files' JSON and buffers as they are to be written. */
export interface Finished {
  readonly json: GltfJson;
  readonly buffers: readonly (Buffer | null)[];
}

/**
 * Keeps the account of what had to be unpacked in a file: which views are free to be used again, which
 * bytes nothing shows any longer, what could be packed again. What was not touched stays packed.
 */
export class Unpacking {
  /** What a user is to know, in sentences, of the files as they were made last. */
  notes: readonly string[] = [];
  private readonly namedElsewhere: ReadonlySet<number>;
  private readonly viewCount: number;
  private readonly openedBytes: number;
  private readonly free: number[] = [];
  private readonly tail = new Set<number>();
  private readonly views = new Map<number, { name: MeshoptName; place: Place | null }>();
  private readonly places = new Map<number, Place>();
  private readonly primitives: UnpackedPrimitive[] = [];
  private dead: readonly Stretch[] = [];
  private home = 0;

  private constructor(
    json: GltfJson,
    buffers: readonly (Buffer | null)[],
    private readonly packers: Packers | null,
  ) {
    this.openedBytes = bytesIn(buffers);
    this.namedElsewhere = viewsNamedElsewhere(json);
    this.viewCount = json.bufferViews?.length ?? 0;
  }

  /**
   * @param pack Whether what is unpacked is to be packed again.
   */
  static async of(
    json: GltfJson,
    buffers: readonly (Buffer | null)[],
    pack: boolean,
  ): Promise<Unpacking> {
    if (!pack) return new Unpacking(json, buffers, null);
    const needs = (names: readonly string[]): boolean =>
      json.extensionsUsed?.some((name) => names.includes(name)) === true;
    let meshopt: Packers['meshopt'] = null;
    if (needs(MESHOPT)) {
      const { MeshoptEncoder } = await import('meshoptimizer/encoder');
      await MeshoptEncoder.ready;
      meshopt = (bytes, count, stride, version) =>
        MeshoptEncoder.encodeGltfBuffer(bytes, count, stride, 'ATTRIBUTES', version);
    }
    const draco = needs([DRACO])
      ? await (await import('./packing-draco.js')).DracoPacker.load()
      : null;
    return new Unpacking(json, buffers, { meshopt, draco });
  }

  /** What a view is packed by, or was until it was written to; null for one that was always plain. */
  packingOf({ bufferViews }: GltfJson, view: number): MeshoptName | null {
    return packedForm(bufferViews?.[view])?.name ?? this.views.get(view)?.name ?? null;
  }

  /**
   * Takes note that an accessor no longer reads these views and shows these bytes: what none reads is free.
   */
  leave(json: GltfJson, views: readonly number[], bytes: readonly Stretch[]): void {
    this.dead = [...this.dead, ...bytes];
    for (const view of views) if (json.bufferViews?.[view] !== undefined) this.release(json, view);
  }

  private release(json: GltfJson, view: number): void {
    if (this.namedElsewhere.has(view) || isViewRead(json, view) || this.free.includes(view)) return;
    this.free.push(view);
    this.views.delete(view);
  }

  /** Takes note that what a view holds was packed before. */
  unpacked(view: number, name: MeshoptName): void {
    this.views.set(view, { name, place: this.places.get(view) ?? null });
  }

  /** A view of bytes at the end of a buffer: a free one, else one more. */
  view(
    json: GltfJson,
    place: Place,
    { stride, isNeeded, isVertex }: { stride: number; isNeeded: boolean; isVertex: boolean },
  ): number {
    json.bufferViews ??= [];
    const index = this.free.shift() ?? json.bufferViews.length;
    const before = json.bufferViews[index];
    const hasStride = isVertex && (isNeeded || before?.byteStride !== undefined);
    if (before !== undefined) this.overtake(json, index, before);
    json.bufferViews[index] = {
      ...plainRest(before),
      ...place,
      ...(hasStride && { byteStride: stride }),
    };
    this.tail.add(index);
    this.home = place.buffer;
    return index;
  }

  /** Free views at the end of the list go. Others keep their index, which unknown extensions may know. */
  private dropFreeViews(json: GltfJson): void {
    for (;;) {
      const place = this.free.indexOf((json.bufferViews?.length ?? 0) - 1);
      if (place === -1) return;
      this.tail.delete(this.free[place] ?? -1);
      this.free.splice(place, 1);
      json.bufferViews?.pop();
    }
  }

  private overtake(json: GltfJson, index: number, before: BufferViewJson): void {
    this.dead = [...this.dead, ...stretchesOf(before)];
    const { buffer, byteOffset = 0, byteLength } = before;
    const stored = json.buffers?.[buffer];
    if (packedForm(before) !== null && stored?.uri === undefined && stored !== undefined)
      if (isFallback(stored)) this.places.set(index, { buffer, byteOffset, byteLength });
  }

  /**
   * Takes the packed form off primitives, and tells which accessors are now to be given what it held.
   * Throws AssetError for one that is no list of triangles.
   */
  openPrimitives(
    json: GltfJson,
    primitives: readonly PrimitiveJson[],
  ): Map<number, readonly Filled[]> {
    const filled = new Map<number, Filled[]>();
    for (const primitive of new Set(primitives)) {
      const form = dracoForm(primitive);
      if (form === null) continue;
      if ((primitive.mode ?? 4) !== 4)
        throw new AssetError(`its geometry is packed (${DRACO}) as something but triangles`);
      const names = [...form.attributes.keys()].filter((name) => name in primitive.attributes);
      for (const name of [...names, null]) {
        const index = name === null ? primitive.indices : primitive.attributes[name];
        if (index === undefined) continue;
        filled.set(index, [...(filled.get(index) ?? []), { primitive, name }]);
        const accessor = json.accessors?.[index];
        if (name !== null && accessor !== undefined && needsQuantization(name, accessor))
          requireQuantization(json);
      }
      // It is an object, since it names a view.
      const extension = memberOf(primitive.extensions, DRACO) as Record<string, unknown>;
      this.primitives.push({ primitive, extension, names });
      delete primitive.extensions?.[DRACO];
      if (Object.keys(primitive.extensions ?? {}).length === 0) delete primitive.extensions;
      this.release(json, form.bufferView);
    }
    return filled;
  }

  /** What is to be written: bytes that went, packings that nothing uses, and, if asked for, all packed again. */
  finish(
    json: GltfJson,
    buffers: (Buffer | null)[],
    changed: ReadonlySet<number>,
    kept: KeptJson,
  ): Finished {
    this.dead = sweep(json, buffers, this.dead, changed, new Set(this.free));
    if (this.views.size === 0 && this.primitives.length === 0) {
      this.dropFreeViews(json);
      return { json, buffers };
    }
    const { views, primitives, viewCount, home } = this;
    const at = (view: number): number => json.bufferViews?.[view]?.byteOffset ?? 0;
    const tail = [...this.tail].sort((a, b) => at(a) - at(b));
    const unpacked = { views, primitives, tail, viewCount, home };
    const bytes = buffers[home] ?? Buffer.alloc(0);
    const none = { meshopt: null, draco: null };
    const made = packAgain(json, bytes, unpacked, this.packers ?? none, kept);
    const all = buffers.map((buffer, index) => (index === home ? made.bytes : buffer));
    dropUnused(made.json, all);
    this.notes = packingNotes({
      unpacked,
      again: made,
      mayPack: this.packers === null,
      growth: bytesIn(all) - this.openedBytes,
      left: this.dead.reduce((sum, { start, end }) => sum + end - start, 0),
    });
    return { json: made.json, buffers: all };
  }
}

function bytesIn(buffers: readonly (Buffer | null)[]): number {
  return buffers.reduce((sum, bytes) => sum + (bytes?.byteLength ?? 0), 0);
}

/** What a view keeps when it shows other bytes, plain ones. */
function plainRest(view: BufferViewJson | undefined): Partial<BufferViewJson> {
  if (view === undefined) return {};
  const { byteStride: _, extensions = {}, ...rest } = view;
  const others = Object.entries(extensions).filter(([name]) => !isPacking(name));
  return others.length === 0 ? rest : { ...rest, extensions: Object.fromEntries(others) };
}

function requireQuantization(json: GltfJson): void {
  for (const key of ['extensionsUsed', 'extensionsRequired'] as const) {
    json[key] ??= [];
    if (!json[key].includes('KHR_mesh_quantization')) json[key].push('KHR_mesh_quantization');
  }
}

/** Takes out buffers that stood in for packed views and that nothing names, then names of packings that nothing uses. */
function dropUnused(json: GltfJson, buffers: (Buffer | null)[]): void {
  for (;;) {
    const last = json.buffers?.at(-1);
    const index = (json.buffers?.length ?? 0) - 1;
    const isNamed = (json.bufferViews ?? []).flatMap(stretchesOf).some((at) => at.buffer === index);
    if (last === undefined || !isFallback(last) || last.uri !== undefined || isNamed) break;
    json.buffers = json.buffers?.slice(0, -1) ?? [];
    buffers.length = Math.min(buffers.length, index);
  }
  for (const key of ['extensionsUsed', 'extensionsRequired'] as const) {
    const names = json[key]?.filter((name) => !isPacking(name) || isPackingUsed(json, name));
    if (names === undefined || names.length === json[key]?.length) continue;
    if (names.length > 0) json[key] = names;
    else delete json[key];
  }
}
