import { AssetError } from './errors.js';
import type { GltfAccessor, GltfDocument } from './gltf-types.js';
import { ASSET_LIMITS } from './limits.js';
import { elementBytes } from './read-plan.js';
import { dracoAccessors, type Wanted } from './wanted-accessors.js';

/**
 * Checks the range of each wanted accessor against its view, and each view's against its buffer. Throws
 * AssetError where one runs past.
 *
 * @returns Bytes that the wanted accessors take once decoded.
 */
export function checkRanges(document: GltfDocument, wanted: Wanted): number {
  const compressed = dracoAccessors(wanted);
  let decoded = 0;
  let zeros = 0;
  for (const index of wanted.accessors) {
    const accessor = document.accessors[index];
    if (accessor === undefined) continue;
    const where = `/accessors/${index}`;
    const { bufferView, count, sparse } = accessor;
    const bytes = count * elementBytes(accessor);
    decoded += bytes;
    if (decoded > ASSET_LIMITS.decodedBytes)
      throw new AssetError(`${count} elements are more than can be read`, `${where}/count`);
    if (bufferView === null && !compressed.has(index)) zeros += bytes;
    if (zeros > ASSET_LIMITS.zeroBytes)
      throw new AssetError(`${zeros} bytes or more have no stored data`, where);
    if (bufferView !== null) checkAccessorRange(document, { ...accessor, bufferView }, where);
    if (sparse === null) continue;
    if (sparse.count > count)
      throw new AssetError(
        `${sparse.count} sparse values for ${count} elements`,
        `${where}/sparse/count`,
      );
    const scalar = { ...accessor, type: 'SCALAR' as const };
    const indices = { ...scalar, count: sparse.count, ...sparse.indices };
    checkAccessorRange(document, indices, `${where}/sparse/indices`);
    const values = { ...accessor, count: sparse.count, ...sparse.values };
    checkAccessorRange(document, values, `${where}/sparse/values`);
  }
  for (const { source, mesh, primitive } of wanted.primitives) {
    if (source.draco === null) continue;
    viewRange(document, source.draco.bufferView, `/meshes/${mesh}/primitives/${primitive}`);
  }
  return decoded;
}

/** glTF 2.0, 3.6.2.4 Data Alignment: the last element must end inside the buffer view. */
function checkAccessorRange(
  document: GltfDocument,
  accessor: GltfAccessor & { readonly bufferView: number },
  where: string,
): void {
  const { bufferView, byteOffset, count } = accessor;
  const bytes = elementBytes(accessor);
  const { stride, length } = viewRange(document, bufferView, where);
  if (stride !== null && stride < bytes && count > 1)
    throw new AssetError(`elements of ${bytes} bytes are only ${stride} bytes apart`, where);
  const end = byteOffset + (stride ?? bytes) * (count - 1) + bytes;
  if (end > length)
    throw new AssetError(
      `the accessor needs ${end} bytes of buffer view ${bufferView}, which has only ${length}`,
      where,
    );
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
  if (buffer === undefined || end > buffer.byteLength)
    throw new AssetError(
      `the buffer view needs ${end} bytes of buffer ${stored.buffer}, which has only ${buffer?.byteLength ?? 0}`,
      `/bufferViews/${index}`,
    );
  if (view.meshopt === null) return { length: view.byteLength, stride: view.byteStride };
  const decoded = view.meshopt.count * view.meshopt.byteStride;
  const most = ASSET_LIMITS.meshoptGrowth * view.meshopt.byteLength;
  if (decoded > Math.min(most, ASSET_LIMITS.decodedBytes))
    throw new AssetError(
      `${decoded} bytes decoded from ${view.meshopt.byteLength} are too many`,
      `/bufferViews/${index}`,
    );
  return { length: decoded, stride: view.byteStride };
}
