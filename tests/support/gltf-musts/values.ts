import type { FileAccessor, WholeFile } from './whole-file.js';

/** Components of an element (glTF 2.0, 3.6.2.2). */
export const COMPONENTS: Readonly<Record<string, number>> = {
  SCALAR: 1,
  VEC2: 2,
  VEC3: 3,
  VEC4: 4,
  MAT2: 4,
  MAT3: 9,
  MAT4: 16,
};

/** Bytes of a component (glTF 2.0, 3.6.2.2). */
export const BYTES: Readonly<Record<number, number>> = {
  5120: 1,
  5121: 1,
  5122: 2,
  5123: 2,
  5125: 4,
  5126: 4,
};

export const FLOAT = 5126;

/** Bytes from the first of an accessor to the one after its last. */
export function span({ componentType, type, count }: FileAccessor, stride?: number): number {
  const element = (COMPONENTS[type] ?? 0) * (BYTES[componentType] ?? 0);
  return (stride ?? element) * (count - 1) + element;
}

type Elements = readonly (readonly number[])[] | null;

/** What was decoded of a file that is looked at, so that each must does not decode it again. */
const decoded = new WeakMap<WholeFile, Map<number, Elements>>();

/** Elements of an accessor as they are stored, sparse ones in place; null where they cannot be read. */
export function elements(file: WholeFile, index: number | undefined): Elements {
  if (index === undefined) return null;
  const ofFile = decoded.get(file) ?? new Map<number, Elements>();
  decoded.set(file, ofFile);
  const known = ofFile.get(index);
  if (known !== undefined) return known;
  const found = decode(file, index);
  ofFile.set(index, found);
  return found;
}

function decode(file: WholeFile, index: number): number[][] | null {
  const accessor = file.json.accessors?.[index];
  if (accessor === undefined) return null;
  const { bufferView, byteOffset, componentType, count, type, sparse } = accessor;
  const size = COMPONENTS[type] ?? 0;
  const dense =
    bufferView === undefined
      ? Array.from({ length: count }, () => new Array<number>(size).fill(0))
      : read(file, bufferView, byteOffset ?? 0, componentType, size, count);
  if (sparse === undefined || dense === null) return dense;
  const { indices, values } = sparse;
  const places = read(
    file,
    indices.bufferView,
    indices.byteOffset ?? 0,
    indices.componentType,
    1,
    sparse.count,
  );
  const fresh = read(
    file,
    values.bufferView,
    values.byteOffset ?? 0,
    componentType,
    size,
    sparse.count,
  );
  if (places === null || fresh === null) return null;
  places.forEach(([place = -1], at) => {
    const element = fresh[at];
    if (dense[place] !== undefined && element !== undefined) dense[place] = element;
  });
  return dense;
}

/** Elements of a view; null where they do not lie in a buffer. */
export function read(
  file: WholeFile,
  view: number,
  offset: number,
  component: number,
  size: number,
  count: number,
): number[][] | null {
  const own = file.json.bufferViews?.[view];
  const bytes = file.buffers[own?.buffer ?? -1];
  const width = BYTES[component];
  if (own === undefined || bytes == null || width === undefined || size === 0) return null;
  const stride = own.byteStride ?? size * width;
  const start = (own.byteOffset ?? 0) + offset;
  if (start + stride * (count - 1) + size * width > bytes.byteLength) return null;
  const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  // Loops, since calls take time, and files have many thousand elements.
  const rows: number[][] = [];
  for (let row = 0; row < count; row++) {
    const element: number[] = [];
    for (let k = 0; k < size; k++)
      element.push(componentAt(data, start + row * stride + k * width, component));
    rows.push(element);
  }
  return rows;
}

function componentAt(data: DataView, at: number, type: number): number {
  switch (type) {
    case 5120:
      return data.getInt8(at);
    case 5121:
      return data.getUint8(at);
    case 5122:
      return data.getInt16(at, true);
    case 5123:
      return data.getUint16(at, true);
    case 5125:
      return data.getUint32(at, true);
    default:
      return data.getFloat32(at, true);
  }
}
