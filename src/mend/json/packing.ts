import { memberOf } from '../../asset/narrow.js';
import type { AccessorJson, BufferViewJson, GltfJson, PrimitiveJson } from './gltf-json.js';
import { eachMember } from './members.js';

export const MESHOPT = ['EXT_meshopt_compression', 'KHR_meshopt_compression'] as const;
export const DRACO = 'KHR_draco_mesh_compression';

export type MeshoptName = (typeof MESHOPT)[number];

type Extending = Pick<PrimitiveJson, 'extensions'>;

export function isPacking(name: string): boolean {
  return name === DRACO || MESHOPT.some((known) => known === name);
}

export interface Stretch {
  readonly buffer: number;
  readonly start: number;
  readonly end: number;
}

/** How a view is packed, and where; null for a plain one. */
export function packedForm(
  view: BufferViewJson | undefined,
): { readonly name: MeshoptName; readonly stored: Stretch } | null {
  const name = MESHOPT.find((known) => memberOf(view?.extensions, known) !== undefined);
  if (name === undefined) return null;
  const [buffer = 0, start = 0, length = 0] = ['buffer', 'byteOffset', 'byteLength'].map((key) => {
    const value = memberOf(memberOf(view?.extensions, name), key);
    return typeof value === 'number' ? value : 0;
  });
  return { name, stored: { buffer, start, end: start + length } };
}

/** Every stretch of bytes that a view shows: its own, and that of its packed form. */
export function stretchesOf(view: BufferViewJson): Stretch[] {
  const start = view.byteOffset ?? 0;
  const { stored } = packedForm(view) ?? {};
  const plain = { buffer: view.buffer, start, end: start + view.byteLength };
  return stored === undefined ? [plain] : [plain, stored];
}

/** Whether a buffer is a placeholder for what packed views unpack to; it may hold no bytes. */
export function isFallback({ extensions }: Extending): boolean {
  return MESHOPT.some((name) => memberOf(memberOf(extensions, name), 'fallback') === true);
}

/** View of a primitive's packed form and the ids of its attributes there; null for a plain one. */
export function dracoForm({ extensions }: Extending): {
  readonly bufferView: number;
  readonly attributes: ReadonlyMap<string, number>;
} | null {
  const form = memberOf(extensions, DRACO);
  const bufferView = memberOf(form, 'bufferView');
  if (typeof bufferView !== 'number') return null;
  // Ids were checked when the asset was read.
  const ids = (memberOf(form, 'attributes') ?? {}) as Record<string, number>;
  return { bufferView, attributes: new Map(Object.entries(ids)) };
}

export function viewsOf({ bufferView, sparse }: AccessorJson): number[] {
  return [bufferView, sparse?.indices.bufferView, sparse?.values.bufferView].filter(
    (view) => view !== undefined,
  );
}

/** Extensions that name neither accessors nor buffer views, so that none of their numbers can be one. */
const WITHOUT_DATA =
  /^(KHR_(materials_\w+|texture_\w+|lights_punctual|mesh_quantization|node_visibility|animation_pointer)|EXT_(texture_\w+|meshopt_compression)|KHR_meshopt_compression|VRM\w*)$/;

export function namesNoData(extension: string): boolean {
  return WITHOUT_DATA.test(extension);
}

/**
 * The views that something other than an accessor or a packed primitive names. Extensions name views by
 * keys of their own; each number in one that is not known to name none counts.
 */
export function viewsNamedElsewhere(json: GltfJson): Set<number> {
  const found = new Set<number>();
  const accessors = json.accessors?.map((accessor) => ({
    extensions: memberOf(accessor, 'extensions'),
  }));
  eachMember(
    { ...json, accessors },
    (key) => key === DRACO || namesNoData(key),
    (key, value, isInside) => {
      if (typeof value === 'number' && (isInside || key === 'bufferView')) found.add(value);
    },
  );
  return found;
}

export function isViewRead({ accessors, meshes }: GltfJson, index: number): boolean {
  const primitives = (meshes ?? []).flatMap((mesh) => mesh.primitives);
  return (
    (accessors ?? []).some((accessor) => viewsOf(accessor).includes(index)) ||
    primitives.some((primitive) => dracoForm(primitive)?.bufferView === index)
  );
}

/** Whether a view, a buffer or a primitive still uses a packing. */
export function isPackingUsed({ bufferViews, buffers, meshes }: GltfJson, name: string): boolean {
  const primitives = (meshes ?? []).flatMap((mesh) => mesh.primitives);
  return [...(bufferViews ?? []), ...(buffers ?? []), ...primitives].some(
    ({ extensions }) => memberOf(extensions, name) !== undefined,
  );
}

/** A component type that only KHR_mesh_quantization lets an attribute have (glTF 2.0, 3.7.2.1). */
export function needsQuantization(name: string, accessor: AccessorJson): boolean {
  const { componentType, normalized } = accessor;
  if (/^(POSITION|NORMAL|TANGENT)$/.test(name)) return componentType !== 5126;
  if (!/^TEXCOORD_\d+$/.test(name)) return false;
  const isShare = normalized === true && (componentType === 5121 || componentType === 5123);
  return componentType !== 5126 && !isShare;
}
