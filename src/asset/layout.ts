import {
  COMPONENT_BYTES,
  type GltfAccessor,
  type GltfDocument,
  TYPE_COMPONENTS,
} from './gltf-types.js';

/** Where an accessor's elements stand in a buffer when they can be read as they are. */
export interface PlainLayout {
  readonly buffer: number;
  /** Bytes of the buffer: from the first element's first to behind the last element's last. */
  readonly start: number;
  readonly end: number;
  /** Bytes of an element, and from one to the next: more where several accessors interleave. */
  readonly element: number;
  readonly stride: number;
}

/** Bytes of one element. */
export function elementBytes({ componentType, type }: GltfAccessor): number {
  return COMPONENT_BYTES[componentType] * TYPE_COMPONENTS[type];
}

/**
 * The layout of an accessor that is stored as numbers and nothing else, interleaved or not; null for
 * any other. Its range has been checked.
 */
export function plainLayout(document: GltfDocument, index: number): PlainLayout | null {
  const accessor = document.accessors[index];
  const view = accessor?.bufferView == null ? undefined : document.bufferViews[accessor.bufferView];
  if (
    accessor === undefined ||
    view === undefined ||
    accessor.sparse !== null ||
    view.meshopt !== null
  )
    return null;
  if (isPaddedMatrix(accessor)) return null;
  const { buffer, byteStride } = view;
  const element = elementBytes(accessor);
  const stride = byteStride ?? element;
  const start = view.byteOffset + accessor.byteOffset;
  return { buffer, start, end: start + stride * (accessor.count - 1) + element, element, stride };
}

/** glTF 2.0, 3.6.2.4: columns of small matrices begin on multiples of four bytes. */
function isPaddedMatrix({ type, componentType }: GltfAccessor): boolean {
  const bytes = COMPONENT_BYTES[componentType];
  return (type === 'MAT2' && bytes === 1) || (type === 'MAT3' && bytes <= 2);
}
