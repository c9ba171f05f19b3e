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

const QUANTIZED = 'KHR_mesh_quantization';

/** One place in a packed primitive that an accessor fills: an attribute, or the indices (null). */
interface Filled {
  readonly primitive: PrimitiveJson;
  readonly name: string | null;
}

/**
 * Keeps account of what had to be unpacked in a file: which views are free to be used again, which bytes
 * nothing shows any longer, what could be packed again. What was not touched stays packed.
 */
export class Unpacking {
  /** What a user has to know, in sentences, of the files as they were made last. */
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
    private readonly pack: boolean,
    private readonly packers: Packers,
  ) {
    this.openedBytes = bytesIn(buffers);
    this.namedElsewhere = viewsNamedElsewhere(json);
    this.viewCount = json.bufferViews?.length ?? 0;
  }

  static async of(json: GltfJson, buffers: (Buffer | null)[], pack: boolean): Promise<Unpacking> {
    const used = json.extensionsUsed ?? [];
    let meshopt: Packers['meshopt'] = null;
    if (pack && MESHOPT.some((name) => used.includes(name))) {
      const { MeshoptEncoder } = await import('meshoptimizer/encoder');
      await MeshoptEncoder.ready;
      meshopt = (bytes, count, stride, version) =>
        MeshoptEncoder.encodeGltfBuffer(bytes, count, stride, 'ATTRIBUTES', version);
    }
    let draco: Packers['draco'] = null;
    if (pack && used.includes(DRACO))
      draco = await (await import('./packing-draco.js')).DracoPacker.load();
    return new Unpacking(json, buffers, pack, { meshopt, draco });
  }

  /** What a view is packed by, or was until it was written to; null for one that was always plain. */
  packingOf({ bufferViews }: GltfJson, view: number): MeshoptName | null {
    return packedForm(bufferViews?.[view])?.name ?? this.views.get(view)?.name ?? null;
  }

  /** Notes that an accessor no longer reads these views and bytes: what none reads is free. */
  leave(json: GltfJson, views: readonly number[], bytes: readonly Stretch[]): void {
    this.dead = [...this.dead, ...bytes];
    for (const view of views) if (json.bufferViews?.[view] !== undefined) this.release(json, view);
  }

  private release(json: GltfJson, view: number): void {
    if (this.namedElsewhere.has(view) || isViewRead(json, view) || this.free.includes(view)) return;
    this.free.push(view);
    this.views.delete(view);
  }

  /** Notes that the content of a view was packed before. */
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
    if (before !== undefined) {
      this.dead = [...this.dead, ...stretchesOf(before)];
      const { buffer, byteOffset = 0, byteLength } = before;
      const stored = json.buffers?.[buffer];
      const isFree = stored !== undefined && stored.uri === undefined && isFallback(stored);
      if (packedForm(before) !== null && isFree)
        this.places.set(index, { buffer, byteOffset, byteLength });
    }
    const hasStride = isVertex && (isNeeded || before?.byteStride !== undefined);
    const byteStride = hasStride && { byteStride: stride };
    json.bufferViews[index] = { ...plainRest(before), ...place, ...byteStride };
    this.tail.add(index);
    this.home = place.buffer;
    return index;
  }

  /** Free views at the end of the list go. Others keep their index: unknown extensions may know it. */
  private dropFreeViews({ bufferViews = [] }: GltfJson): void {
    for (let last = bufferViews.length - 1; this.free.includes(last); last--) {
      this.tail.delete(last);
      this.free.splice(this.free.indexOf(last), 1);
      bufferViews.pop();
    }
  }

  /**
   * Takes the packed form off primitives; returns which accessors have to be given its content. Throws
   * AssetError for a primitive that is no list of triangles.
   */
  openPrimitives(json: GltfJson, primitives: readonly PrimitiveJson[]): Map<number, Filled[]> {
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
        if (name === null || accessor === undefined || !needsQuantization(name, accessor)) continue;
        for (const key of ['extensionsUsed', 'extensionsRequired'] as const) {
          json[key] ??= [];
          if (!json[key].includes(QUANTIZED)) json[key].push(QUANTIZED);
        }
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

  /** What is to be written: without unused bytes and packings, and packed again if asked for. */
  finish(
    json: GltfJson,
    buffers: (Buffer | null)[],
    changed: ReadonlySet<number>,
    kept: KeptJson,
  ): { readonly json: GltfJson; readonly buffers: readonly (Buffer | null)[] } {
    this.dead = sweep(json, buffers, this.dead, changed, new Set(this.free));
    if (this.views.size === 0 && this.primitives.length === 0) {
      this.dropFreeViews(json);
      return { json, buffers };
    }
    const { views, primitives, viewCount, home } = this;
    const startOf = (view: number): number => json.bufferViews?.[view]?.byteOffset ?? 0;
    const tail = [...this.tail].sort((a, b) => startOf(a) - startOf(b));
    const unpacked = { views, primitives, tail, viewCount, home };
    const again = packAgain(json, buffers[home] ?? Buffer.alloc(0), unpacked, this.packers, kept);
    const all = buffers.map((buffer, index) => (index === home ? again.bytes : buffer));
    dropUnused(again.json, all);
    const growth = bytesIn(all) - this.openedBytes;
    const left = this.dead.reduce((sum, { start, end }) => sum + end - start, 0);
    this.notes = packingNotes({ unpacked, again, mayPack: !this.pack, growth, left });
    return { json: again.json, buffers: all };
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

/** Takes out placeholder buffers that nothing names, then the names of packings that nothing uses. */
function dropUnused(json: GltfJson, buffers: (Buffer | null)[]): void {
  const named = new Set((json.bufferViews ?? []).flatMap(stretchesOf).map(({ buffer }) => buffer));
  const { buffers: all = [] } = json;
  const isUsed = (buffer: (typeof all)[number], index: number): boolean =>
    !isFallback(buffer) || buffer.uri !== undefined || named.has(index);
  const end = all.findLastIndex(isUsed) + 1;
  if (end < all.length) json.buffers = all.slice(0, end);
  buffers.length = Math.min(buffers.length, end);
  for (const key of ['extensionsUsed', 'extensionsRequired'] as const) {
    const names = json[key]?.filter((name) => !isPacking(name) || isPackingUsed(json, name));
    if (names === undefined || names.length === json[key]?.length) continue;
    if (names.length > 0) json[key] = names;
    else delete json[key];
  }
}
