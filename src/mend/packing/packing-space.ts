import type { GltfJson } from '../json/gltf-json.js';
import { isPacking, MESHOPT, type Stretch, stretchesOf } from '../json/packing.js';

/** What follows a stretch that goes keeps its place on multiples of this many bytes. */
const ALIGNMENT = 8;

/**
 * Takes stretches that nothing shows any longer out of the buffers, and moves what follows up. Views and
 * their packed forms are told where they now stand; where an unknown extension may hold places of its
 * own, all stays.
 *
 * @param buffers Bytes of each buffer, replaced where they change; null for those that hold none.
 * @param mayChange Buffers that are written anew in any case.
 * @returns What stays though nothing shows it.
 */
export function sweep(
  json: GltfJson,
  buffers: (Buffer | null)[],
  dead: readonly Stretch[],
  mayChange: ReadonlySet<number>,
): readonly Stretch[] {
  const views = json.bufferViews ?? [];
  const movable = !hasOtherPlaces(json);
  const kept: Stretch[] = [];
  // From the end on, so that what is still to go stays where it is.
  for (const stretch of [...dead].sort((a, b) => b.buffer - a.buffer || b.start - a.start)) {
    const { buffer, start } = stretch;
    const bytes = buffers[buffer];
    if (bytes == null) continue;
    const shown = views.flatMap(stretchesOf).filter((view) => view.buffer === buffer);
    const after = Math.min(
      ...shown.filter(({ end }) => end > start).map((view) => view.start),
      bytes.byteLength,
    );
    const length = Math.floor((Math.min(stretch.end, after) - start) / ALIGNMENT) * ALIGNMENT;
    if (!movable || !mayChange.has(buffer) || length <= 0) {
      kept.push(stretch);
      continue;
    }
    buffers[buffer] = Buffer.concat([bytes.subarray(0, start), bytes.subarray(start + length)]);
    for (const view of views) {
      if (view.buffer === buffer && (view.byteOffset ?? 0) > start)
        view.byteOffset = (view.byteOffset ?? 0) - length;
      for (const name of MESHOPT) {
        // What is packed was checked to be an object when the asset was read.
        const form = view.extensions?.[name] as { buffer: number; byteOffset?: number } | undefined;
        if (form?.buffer === buffer && (form.byteOffset ?? 0) > start)
          form.byteOffset = (form.byteOffset ?? 0) - length;
      }
    }
  }
  return kept;
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
