import { AssetError } from './errors.js';
import type { GltfAccessor, GltfDocument } from './gltf-types.js';
import { elementBytes } from './layout.js';
import { ASSET_LIMITS } from './limits.js';
import { dracoAccessors, type Wanted } from './wanted-accessors.js';

/** Bytes that the wanted accessors take once decoded. */
export function decodedBytes(document: GltfDocument, { accessors }: Wanted): number {
  return accessors.reduce((sum, index) => {
    const accessor = document.accessors[index];
    return accessor === undefined ? sum : sum + accessor.count * elementBytes(accessor);
  }, 0);
}

/**
 * Checks the range of each wanted accessor against its view, and each view's against its buffer. Throws
 * AssetError where one runs past.
 */
export function checkRanges(document: GltfDocument, wanted: Wanted): void {
  const compressed = dracoAccessors(wanted);
  let decoded = 0;
  let zeros = 0;
  for (const index of wanted.accessors) {
    const accessor = document.accessors[index];
    if (accessor === undefined) continue;
    const bytes = accessor.count * elementBytes(accessor);
    decoded += bytes;
    if (decoded > ASSET_LIMITS.decodedBytes) {
      throw new AssetError(
        `${accessor.count} elements are more than can be read`,
        `/accessors/${index}/count`,
      );
    }
    const where = `/accessors/${index}`;
    if (accessor.bufferView === null && !compressed.has(index)) zeros += bytes;
    if (zeros > ASSET_LIMITS.zeroBytes) {
      throw new AssetError(`${zeros} bytes or more have no stored data`, `/accessors/${index}`);
    }
    if (accessor.bufferView !== null)
      checkAccessorRange(document, accessor.bufferView, accessor, accessor.count, where);
    if (accessor.sparse !== null) {
      const { count, indices, values } = accessor.sparse;
      if (count > accessor.count) {
        throw new AssetError(
          `${count} sparse values for ${accessor.count} elements`,
          `${where}/sparse/count`,
        );
      }
      const shape = { ...accessor, componentType: indices.componentType, type: 'SCALAR' as const };
      checkAccessorRange(
        document,
        indices.bufferView,
        { ...shape, ...indices },
        count,
        `${where}/sparse/indices`,
      );
      checkAccessorRange(
        document,
        values.bufferView,
        { ...accessor, ...values },
        count,
        `${where}/sparse/values`,
      );
    }
  }
  for (const { source, mesh, primitive } of wanted.primitives) {
    if (source.draco === null) continue;
    viewRange(document, source.draco.bufferView, `/meshes/${mesh}/primitives/${primitive}`);
  }
}

/** glTF 2.0, 3.6.2.4 Data Alignment: the last element must end inside the buffer view. */
function checkAccessorRange(
  document: GltfDocument,
  view: number,
  accessor: GltfAccessor,
  count: number,
  where: string,
): void {
  const bytes = elementBytes(accessor);
  const { stride, length } = viewRange(document, view, where);
  if (stride !== null && stride < bytes && count > 1) {
    throw new AssetError(`elements of ${bytes} bytes are only ${stride} bytes apart`, where);
  }
  const end = accessor.byteOffset + (stride ?? bytes) * (count - 1) + bytes;
  if (end > length) {
    throw new AssetError(
      `the accessor needs ${end} bytes of buffer view ${view}, which has only ${length}`,
      where,
    );
  }
}

/** Length and stride of a view as accessors see it, its place in the buffer checked. */
function viewRange(
  document: GltfDocument,
  index: number,
  where: string,
): { readonly length: number; readonly stride: number | null } {
  const view = document.bufferViews[index];
  if (view === undefined) throw new AssetError(`there is no buffer view ${index}`, where);
  const stored = view.meshopt ?? view;
  const buffer = document.buffers[stored.buffer];
  const end = stored.byteOffset + stored.byteLength;
  if (buffer === undefined || end > buffer.byteLength) {
    throw new AssetError(
      `the buffer view needs ${end} bytes of buffer ${stored.buffer}, which has only ${buffer?.byteLength ?? 0}`,
      `/bufferViews/${index}`,
    );
  }
  if (view.meshopt === null) return { length: view.byteLength, stride: view.byteStride };
  const decoded = view.meshopt.count * view.meshopt.byteStride;
  const most = ASSET_LIMITS.meshoptGrowth * view.meshopt.byteLength;
  if (decoded > Math.min(most, ASSET_LIMITS.decodedBytes)) {
    throw new AssetError(
      `${decoded} bytes decoded from ${view.meshopt.byteLength} are too many`,
      `/bufferViews/${index}`,
    );
  }
  return { length: decoded, stride: view.byteStride };
}
