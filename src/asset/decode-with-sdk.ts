import { type Accessor, type GLTF, Logger, NodeIO, Verbosity } from '@gltf-transform/core';
import { AssetError } from './errors.js';
import type { GltfDocument } from './gltf-types.js';
import type { Decoded, DecodedAccessor, PackedBytes } from './read-plan.js';
import type { Wanted } from './wanted-accessors.js';

const BIN = 'rig.bin';
const MESHOPT = 'EXT_meshopt_compression';
const DRACO = 'KHR_draco_mesh_compression';

/**
 * Decodes accessors that are sparse, without data, meshopt- or Draco-compressed, or small matrices.
 *
 * A small document that holds nothing but those accessors (and the compressed primitives) is put
 * together and read by @gltf-transform. Its indices are kept apart from the asset's.
 */
export async function decodeWithSdk(
  document: GltfDocument,
  wanted: Wanted,
  views: readonly number[],
  packed: PackedBytes,
): Promise<Decoded> {
  const viewAt = new Map(views.map((view, at) => [view, at]));
  const accessorAt = new Map(wanted.accessors.map((accessor, at) => [accessor, at]));
  const draco = wanted.primitives.filter(({ source }) => source.draco !== null);
  const meshopt = views.some((view) => document.bufferViews[view]?.meshopt != null);
  const json: GLTF.IGLTF = {
    asset: { version: '2.0' },
    extensionsUsed: [...(meshopt ? [MESHOPT] : []), ...(draco.length > 0 ? [DRACO] : [])],
    buffers: [{ uri: BIN, byteLength: packed.bytes.byteLength }],
    bufferViews: views.map((view) => viewDef(document, view, packed)),
    accessors: wanted.accessors.map((accessor) => accessorDef(document, accessor, viewAt)),
    meshes: draco.map((each) => ({ primitives: [dracoDef(each, viewAt, accessorAt)] })),
  };
  const io = new NodeIO().setLogger(new Logger(Verbosity.SILENT));
  if (meshopt) {
    const { EXTMeshoptCompression } = await import('@gltf-transform/extensions');
    const { MeshoptDecoder } = await import('meshoptimizer/decoder');
    await MeshoptDecoder.ready;
    const needs = { 'meshopt.decoder': MeshoptDecoder };
    io.registerExtensions([EXTMeshoptCompression]).registerDependencies(needs);
  }
  if (draco.length > 0) {
    const { KHRDracoMeshCompression } = await import('@gltf-transform/extensions');
    const { default: draco3d } = await import('draco3dgltf');
    const needs = { 'draco3d.decoder': await draco3d.createDecoderModule() };
    io.registerExtensions([KHRDracoMeshCompression]).registerDependencies(needs);
  }
  const accessors = await io
    .readJSON({ json, resources: { [BIN]: packed.bytes } })
    .then((read) => read.getRoot().listAccessors())
    .catch((error: unknown) => {
      const cause = error instanceof Error ? error.message : String(error);
      throw new AssetError(`the data cannot be decoded: ${cause}`);
    });
  return new Map(
    wanted.accessors.map((index, at) => [index, checkDecoded(document, index, accessors[at])]),
  );
}

function checkDecoded(
  document: GltfDocument,
  index: number,
  accessor: Accessor | undefined,
): DecodedAccessor {
  const array = accessor?.getArray();
  const count = document.accessors[index]?.count ?? 0;
  if (accessor == null || array == null || accessor.getCount() !== count)
    throw new AssetError(
      `${count} elements should be there, but ${accessor?.getCount() ?? 0} were decoded`,
      `/accessors/${index}`,
    );
  return { array, count, size: accessor.getElementSize(), normalized: accessor.getNormalized() };
}

function viewDef(document: GltfDocument, index: number, packed: PackedBytes): GLTF.IBufferView {
  const view = document.bufferViews[index];
  if (view === undefined) throw new AssetError(`there is no buffer view ${index}`);
  const stored = view.meshopt ?? view;
  const byteOffset = packed.place(stored.buffer, stored.byteOffset);
  const stride = view.byteStride === null ? {} : { byteStride: view.byteStride };
  if (view.meshopt === null)
    return { buffer: 0, byteOffset, byteLength: view.byteLength, ...stride };
  const { count, byteStride, mode, filter } = view.meshopt;
  const { byteLength } = view.meshopt;
  const compressed = { buffer: 0, byteOffset, byteLength, count, byteStride, mode };
  return {
    buffer: 0,
    byteOffset: 0,
    byteLength: count * byteStride,
    ...stride,
    extensions: { [MESHOPT]: filter === null ? compressed : { ...compressed, filter } },
  };
}

function accessorDef(
  document: GltfDocument,
  index: number,
  viewAt: ReadonlyMap<number, number>,
): GLTF.IAccessor {
  const accessor = document.accessors[index];
  if (accessor === undefined) throw new AssetError(`there is no accessor ${index}`);
  const { bufferView, sparse, byteOffset, componentType, normalized, count, type } = accessor;
  const def: GLTF.IAccessor = { byteOffset, componentType, normalized, count, type };
  if (bufferView !== null) def.bufferView = viewAt.get(bufferView) ?? 0;
  if (sparse !== null) {
    // The SDK types the component type of sparse indices by its own enumeration of the same numbers.
    const indices = { ...sparse.indices, bufferView: viewAt.get(sparse.indices.bufferView) ?? 0 };
    const values = { ...sparse.values, bufferView: viewAt.get(sparse.values.bufferView) ?? 0 };
    def.sparse = { count: sparse.count, indices: indices as GLTF.IAccessorSparseIndices, values };
  }
  return def;
}

function dracoDef(
  { source }: Wanted['primitives'][number],
  viewAt: ReadonlyMap<number, number>,
  accessorAt: ReadonlyMap<number, number>,
): GLTF.IMeshPrimitive {
  const attributes: Record<string, number> = {};
  const compressed: Record<string, number> = {};
  for (const [name, accessor] of Object.entries(source.attributes)) {
    const at = accessorAt.get(accessor);
    const id = source.draco?.attributes[name];
    if (at === undefined) continue;
    attributes[name] = at;
    if (id !== undefined) compressed[name] = id;
  }
  const indices = source.indices === null ? undefined : accessorAt.get(source.indices);
  return {
    attributes,
    ...(indices === undefined ? {} : { indices }),
    mode: 4,
    extensions: {
      [DRACO]: {
        bufferView: viewAt.get(source.draco?.bufferView ?? -1) ?? 0,
        attributes: compressed,
      },
    },
  };
}
