import { extentOf } from '../json/accessor-bytes.js';
import type { GltfJson } from '../json/gltf-json.js';
import { eachMember } from '../json/members.js';
import { isPacking, MESHOPT, packedForm, type Stretch, stretchesOf } from '../json/packing.js';

/** What follows a stretch that goes keeps its place on multiples of this many bytes. */
const ALIGNMENT = 8;

/**
 * Takes stretches that nothing shows any longer out of the buffers, and moves what follows up. Views,
 * their packed forms and accessors get their new places. All stays if an unknown extension may have
 * places of its own. Returns the stretches that stay.
 *
 * @param buffers Bytes of each buffer, replaced where they change; null for those without bytes.
 * @param mayChange Buffers that are written again in any case.
 * @param free Views that nothing reads any longer.
 */
export function sweep(
  json: GltfJson,
  buffers: (Buffer | null)[],
  dead: readonly Stretch[],
  mayChange: ReadonlySet<number>,
  free: ReadonlySet<number>,
): readonly Stretch[] {
  if (dead.length === 0) return dead;
  const isMovable = !hasOtherPlaces(json);
  const kept: Stretch[] = [];
  // From the end on, so that what is still to go stays where it is.
  for (const stretch of [...dead].sort((a, b) => b.buffer - a.buffer || b.start - a.start)) {
    const { buffer, start } = stretch;
    const bytes = buffers[buffer];
    if (bytes == null) continue;
    const shown = shownIn(json, buffer, free).filter(({ end }) => end > start);
    const after = shown.reduce(
      (least, other) => Math.min(least, other.start),
      Math.min(stretch.end, bytes.byteLength),
    );
    const end = start + Math.floor((after - start) / ALIGNMENT) * ALIGNMENT;
    if (isMovable && mayChange.has(buffer) && end > start) {
      buffers[buffer] = Buffer.concat([bytes.subarray(0, start), bytes.subarray(end)]);
      moveUp(json, { buffer, start, end });
    } else kept.push(stretch);
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
    const read = parts[index] ?? [];
    const isInParts = read.length > 0 && !whole.has(index) && packedForm(view) === null;
    if (isInParts) return view.buffer === buffer ? read : [];
    if (read.length === 0 && free.has(index)) return [];
    return stretchesOf(view).filter((stretch) => stretch.buffer === buffer);
  });
}

/** Corrects the places of all that is behind bytes that went, or around them. */
function moveUp(json: GltfJson, gone: Stretch): void {
  const length = gone.end - gone.start;
  const views = json.bufferViews ?? [];
  const before = views.map(({ byteOffset = 0, byteLength }) => [byteOffset, byteLength] as const);
  for (const [index, view] of views.entries()) {
    const [start, size] = before[index] ?? [0, 0];
    const within = Math.min(start + size, gone.end) - Math.max(start, gone.start);
    if (view.buffer === gone.buffer) {
      if (start > gone.start) view.byteOffset = Math.max(gone.start, start - length);
      // Bytes of a free view may be gone in part; no view is empty (glTF 2.0, 5.11.3).
      if (within > 0) view.byteLength = Math.max(1, size - within);
    }
    for (const name of MESHOPT) {
      // What is packed was checked to be an object when the asset was read.
      const form = view.extensions?.[name] as { buffer: number; byteOffset?: number } | undefined;
      if (form?.buffer === gone.buffer && (form.byteOffset ?? 0) > gone.start)
        form.byteOffset = (form.byteOffset ?? 0) - length;
    }
  }
  for (const accessor of json.accessors ?? []) {
    const { bufferView = -1, byteOffset = 0 } = accessor;
    const view = views[bufferView];
    if (view?.buffer !== gone.buffer || packedForm(view) !== null) continue;
    const place = (before[bufferView]?.[0] ?? 0) + byteOffset;
    const offset = place - length - (view.byteOffset ?? 0);
    if (place > gone.start && offset !== byteOffset) accessor.byteOffset = offset;
  }
}

/** Whether an extension that is not known here has places in buffers. */
function hasOtherPlaces(json: GltfJson): boolean {
  let isFound = false;
  eachMember(json, isPacking, (key, _, isInside) => {
    isFound ||= isInside && /byteOffset/i.test(key);
  });
  return isFound;
}
