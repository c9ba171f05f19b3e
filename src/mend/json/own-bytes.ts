import { apart, extentOf } from './accessor-bytes.js';
import type { GltfJson } from './gltf-json.js';
import { stretchesOf } from './packing.js';

/** Whether the bytes of an accessor's view that it reads are read by no other accessor and shown by no other view. */
export function hasOwnBytes(
  { accessors = [], bufferViews = [] }: GltfJson,
  index: number,
): boolean {
  const accessor = accessors[index];
  const place = accessor?.bufferView;
  const own = bufferViews[place ?? -1];
  if (accessor === undefined || own === undefined) return false;
  const [from, to] = extentOf(accessor, own.byteStride);
  const start = own.byteOffset ?? 0;
  const isShown = bufferViews.some(
    (view, at) =>
      at !== place &&
      stretchesOf(view).some(
        (other) =>
          other.buffer === own.buffer && other.end > start + from && start + to > other.start,
      ),
  );
  return (
    !isShown &&
    accessors.every(
      (other, at) =>
        at === index || other.bufferView !== place || apart(other, accessor, own.byteStride),
    )
  );
}
