import { memberOf } from '../../asset/narrow.js';
import type {
  AccessorJson,
  BufferJson,
  BufferViewJson,
  GltfJson,
  PrimitiveJson,
} from './gltf-json.js';

export const MESHOPT = ['EXT_meshopt_compression', 'KHR_meshopt_compression'] as const;
export const DRACO = 'KHR_draco_mesh_compression';

export type MeshoptName = (typeof MESHOPT)[number];
export type PackingName = MeshoptName | typeof DRACO;

/** Whether an extension packs geometry. */
export function isPacking(name: string): name is PackingName {
  return name === DRACO || MESHOPT.some((known) => known === name);
}

/** A stretch of bytes of one buffer. */
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
  const entry = memberOf(view?.extensions, name);
  const number = (key: string): number => {
    const value = memberOf(entry, key);
    return typeof value === 'number' ? value : 0;
  };
  const start = number('byteOffset');
  return { name, stored: { buffer: number('buffer'), start, end: start + number('byteLength') } };
}

/** Every stretch of bytes that a view shows: its own, and that of its packed form. */
export function stretchesOf(view: BufferViewJson): Stretch[] {
  const start = view.byteOffset ?? 0;
  const own = { buffer: view.buffer, start, end: start + view.byteLength };
  const packed = packedForm(view);
  return packed === null ? [own] : [own, packed.stored];
}

/** Whether a buffer stands for what packed views unpack to and may hold no bytes. */
export function isFallback({ extensions }: BufferJson): boolean {
  return MESHOPT.some((name) => memberOf(memberOf(extensions, name), 'fallback') === true);
}

/** View of a primitive's packed form and the ids of its attributes there; null for a plain one. */
export function dracoForm({ extensions }: PrimitiveJson): {
  readonly bufferView: number;
  readonly attributes: ReadonlyMap<string, number>;
} | null {
  const entry = memberOf(extensions, DRACO);
  const bufferView = memberOf(entry, 'bufferView');
  if (typeof bufferView !== 'number') return null;
  // Ids were checked when the asset was read.
  const attributes = Object.entries(
    (memberOf(entry, 'attributes') ?? {}) as Record<string, number>,
  );
  return { bufferView, attributes: new Map(attributes) };
}

/** The views that an accessor reads. */
export function viewsOf({ bufferView, sparse }: AccessorJson): number[] {
  return [bufferView, sparse?.indices.bufferView, sparse?.values.bufferView].filter(
    (view) => view !== undefined,
  );
}

/** Extensions that name neither accessors nor buffer views, so that none of their numbers can be one. */
const WITHOUT_DATA =
  /^(KHR_(materials_\w+|texture_\w+|lights_punctual|mesh_quantization|node_visibility|animation_pointer)|EXT_(texture_\w+|meshopt_compression)|KHR_meshopt_compression|VRM\w*)$/;

/** Whether an extension is known to name neither accessors nor buffer views. */
export function namesNoData(extension: string): boolean {
  return WITHOUT_DATA.test(extension);
}

/**
 * The views that something other than an accessor or a packed primitive names. Extensions name views by
 * keys of their own; each number in one that is not known to name none counts.
 */
export function viewsNamedElsewhere(json: GltfJson): Set<number> {
  const found = new Set<number>();
  const { accessors: _, ...rest } = json;
  const extensions = (json.accessors ?? []).map((accessor) => memberOf(accessor, 'extensions'));
  const open: { value: unknown; inside: boolean }[] = [
    { value: rest, inside: false },
    { value: extensions, inside: true },
  ];
  for (let item = open.pop(); item !== undefined; item = open.pop()) {
    if (item.inside && typeof item.value === 'number') found.add(item.value);
    if (typeof item.value !== 'object' || item.value === null) continue;
    for (const [key, value] of Object.entries(item.value)) {
      if (key === 'bufferView' && typeof value === 'number') found.add(value);
      if (key !== DRACO && !namesNoData(key))
        open.push({ value, inside: item.inside || key === 'extensions' });
    }
  }
  return found;
}

/** Whether an accessor or a packed primitive names a view. */
export function isViewRead({ accessors, meshes }: GltfJson, index: number): boolean {
  return (
    (accessors ?? []).some((accessor) => viewsOf(accessor).includes(index)) ||
    (meshes ?? []).some(({ primitives }) =>
      primitives.some((primitive) => dracoForm(primitive)?.bufferView === index),
    )
  );
}

/** Whether a view, a buffer or a primitive still uses a packing. */
export function isPackingUsed(
  { bufferViews, buffers, meshes }: GltfJson,
  name: PackingName,
): boolean {
  const uses = ({ extensions }: { readonly extensions?: Record<string, unknown> }): boolean =>
    memberOf(extensions, name) !== undefined;
  return (
    (bufferViews ?? []).some(uses) ||
    (buffers ?? []).some(uses) ||
    (meshes ?? []).some(({ primitives }) => primitives.some(uses))
  );
}

/** A component type that only KHR_mesh_quantization lets an attribute have (glTF 2.0, 3.7.2.1). */
export function needsQuantization(
  name: string,
  { componentType, normalized }: AccessorJson,
): boolean {
  if (/^(POSITION|NORMAL|TANGENT)$/.test(name)) return componentType !== 5126;
  if (!/^TEXCOORD_\d+$/.test(name)) return false;
  const isShare = normalized === true && (componentType === 5121 || componentType === 5123);
  return componentType !== 5126 && !isShare;
}
