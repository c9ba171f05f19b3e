import { extentOf } from '../json/accessor-bytes.js';
import type { GltfJson } from '../json/gltf-json.js';
import { isPacking, MESHOPT, packedForm, type Stretch, stretchesOf } from '../json/packing.js';

/** What follows a stretch that goes keeps its place on multiples of this many bytes. */
const ALIGNMENT = 8;

/**
 * Takes stretches that nothing shows any longer out of the buffers, and moves what follows up. Views,
 * their packed forms and accessors are told where they now stand; where an unknown extension may hold
 * places of its own, all stays.
 *
 * @param buffers Bytes of each buffer, replaced where they change; null for those that hold none.
 * @param mayChange Buffers that are written anew in any case.
 * @param free Views that nothing reads any longer.
 * @returns What stays though nothing shows it.
 */
export function sweep(
  json: GltfJson,
  buffers: (Buffer | null)[],
  dead: readonly Stretch[],
  mayChange: ReadonlySet<number>,
  free: ReadonlySet<number>,
): readonly Stretch[] {
  if (dead.length === 0) return dead;
  const movable = !hasOtherPlaces(json);
  const kept: Stretch[] = [];
  // From the end on, so that what is still to go stays where it is.
  for (const stretch of [...dead].sort((a, b) => b.buffer - a.buffer || b.start - a.start)) {
    const { buffer, start } = stretch;
    const bytes = buffers[buffer];
    if (bytes == null) continue;
    const after = Math.min(
      ...shownIn(json, buffer, free)
        .filter(({ end }) => end > start)
        .map((shown) => shown.start),
      bytes.byteLength,
    );
    const length = Math.floor((Math.min(stretch.end, after) - start) / ALIGNMENT) * ALIGNMENT;
    if (!movable || !mayChange.has(buffer) || length <= 0) {
      kept.push(stretch);
      continue;
    }
    buffers[buffer] = Buffer.concat([bytes.subarray(0, start), bytes.subarray(start + length)]);
    moveUp(json, { buffer, start, end: start + length });
  }
  return kept;
}

/** What is shown of a buffer: by accessors, and by views that something else reads. */
function shownIn(json: GltfJson, buffer: number, free: ReadonlySet<number>): Stretch[] {
  const views = json.bufferViews ?? [];
  const parts = views.map((): Stretch[] => []);
  const whole = new Set<number>();
  for (const accessor of json.accessors ?? []) {
    const { bufferView, sparse } = accessor;
    for (const view of [sparse?.indices.bufferView, sparse?.values.bufferView])
      if (view !== undefined) whole.add(view);
    if (bufferView === undefined) continue;
    const view = views[bufferView];
    const [from, to] = extentOf(accessor, view?.byteStride);
    const start = view?.byteOffset ?? 0;
    parts[bufferView]?.push({ buffer, start: start + from, end: start + to });
  }
  return views.flatMap((view, index) => {
    const own = parts[index] ?? [];
    const isInParts = own.length > 0 && !whole.has(index) && packedForm(view) === null;
    if (isInParts) return view.buffer === buffer ? own : [];
    if (own.length === 0 && free.has(index)) return [];
    return stretchesOf(view).filter((stretch) => stretch.buffer === buffer);
  });
}

/** Tells all that stand behind bytes that went, or around them, where they now are. */
function moveUp(json: GltfJson, gone: Stretch): void {
  const length = gone.end - gone.start;
  const views = json.bufferViews ?? [];
  const before = views.map(({ byteOffset = 0, byteLength }) => [byteOffset, byteLength] as const);
  for (const [index, view] of views.entries()) {
    const [start, size] = before[index] ?? [0, 0];
    if (view.buffer === gone.buffer && start > gone.start)
      view.byteOffset = Math.max(gone.start, start - length);
    // Bytes of a free view may be gone in part; an empty view is none (glTF 2.0, 5.11.3).
    const within = Math.min(start + size, gone.end) - Math.max(start, gone.start);
    if (view.buffer === gone.buffer && within > 0) view.byteLength = Math.max(1, size - within);
    for (const name of MESHOPT) {
      // What is packed was checked to be an object when the asset was read.
      const form = view.extensions?.[name] as { buffer: number; byteOffset?: number } | undefined;
      if (form?.buffer === gone.buffer && (form.byteOffset ?? 0) > gone.start)
        form.byteOffset = (form.byteOffset ?? 0) - length;
    }
  }
  for (const accessor of json.accessors ?? []) {
    const view = views[accessor.bufferView ?? -1];
    const [start] = before[accessor.bufferView ?? -1] ?? [0];
    if (view?.buffer !== gone.buffer || packedForm(view) !== null) continue;
    const place = start + (accessor.byteOffset ?? 0);
    if (place > gone.start) {
      const offset = place - length - (view.byteOffset ?? 0);
      if (offset !== (accessor.byteOffset ?? 0)) accessor.byteOffset = offset;
    }
  }
}

/** Whether an extension that is not known here holds places in buffers. */
function hasOtherPlaces(json: GltfJson): boolean {
  const open: { value: unknown; inside: boolean }[] = [{ value: json, inside: false }];
  for (let item = open.pop(); item !== undefined; item = open.pop()) {
    if (typeof item.value !== 'object' || item.value === null) continue;
    for (const [key, value] of Object.entries(item.value)) {
      if (item.inside && /byteOffset/i.test(key)) return true;
      if (!isPacking(key)) open.push({ value, inside: item.inside || key === 'extensions' });
    }
  }
  return false;
}
