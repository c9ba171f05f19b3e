import { broken, type Must } from './must.js';
import { BYTES, COMPONENTS, elements, FLOAT, read, span } from './values.js';
import type { FileAccessor, FilePrimitive, WholeFile } from './whole-file.js';

export function primitives({ json }: WholeFile): FilePrimitive[] {
  return (json.meshes ?? []).flatMap((mesh) => mesh.primitives ?? []);
}

/** Accessors of vertices, their morph targets with them. */
function attributes(file: WholeFile): Set<number> {
  return new Set(
    primitives(file).flatMap(({ attributes: own, targets = [] }) =>
      [own, ...targets].flatMap((map) => Object.values(map)),
    ),
  );
}

/** What each accessor's view is used for; `indices` and so on. */
function kinds(file: WholeFile): Map<number, Set<string>> {
  const { json } = file;
  const uses: [number | undefined, string][] = [
    ...[...attributes(file)].map((index): [number, string] => [index, 'vertices']),
    ...primitives(file).map(({ indices }): [number | undefined, string] => [indices, 'indices']),
    ...(json.skins ?? []).map(({ inverseBindMatrices }): [number | undefined, string] => [
      inverseBindMatrices,
      'matrices',
    ]),
    ...(json.animations ?? []).flatMap(({ samplers = [] }) =>
      samplers.flatMap(({ input, output }): [number, string][] => [
        [input, 'keys'],
        [output, 'keys'],
      ]),
    ),
  ];
  const found = new Map<number, Set<string>>();
  const add = (view: number | undefined, kind: string): void => {
    if (view !== undefined) found.set(view, (found.get(view) ?? new Set()).add(kind));
  };
  for (const [index, kind] of uses) add(json.accessors?.[index ?? -1]?.bufferView, kind);
  for (const { bufferView } of json.images ?? []) add(bufferView, 'image');
  return found;
}

const viewOf = ({ json }: WholeFile, { bufferView }: FileAccessor) =>
  json.bufferViews?.[bufferView ?? -1];

const inAccessors = (
  isBroken: (accessor: FileAccessor, index: number, file: WholeFile) => boolean,
) =>
  ((file) =>
    broken(file.json.accessors, '/accessors', (accessor, index) =>
      isBroken(accessor, index, file),
    )) satisfies Must['breaches'];

/** glTF 2.0, 3.6 Binary Data Storage: views and accessors. */
export const ACCESSORS: readonly Must[] = [
  {
    id: 'view-in-buffer',
    section: '3.6.1.1',
    says: 'A buffer view represents a contiguous segment of data in a buffer, defined by a byte offset into the buffer and a total byte length.',
    breaches: ({ json }) =>
      broken(json.bufferViews, '/bufferViews', ({ buffer, byteOffset = 0, byteLength }) => {
        const own = json.buffers?.[buffer];
        return own !== undefined && byteOffset + byteLength > own.byteLength;
      }),
  },
  {
    id: 'view-one-kind',
    section: '3.6.1.1',
    says: 'Buffer views used for images, vertex indices, vertex attributes, or inverse bind matrices MUST contain only one kind of data.',
    breaches: (file) =>
      [...kinds(file)].flatMap(([view, found]) => (found.size > 1 ? [`/bufferViews/${view}`] : [])),
  },
  {
    id: 'view-stride-use',
    section: '3.6.1.1',
    says: 'Buffer views with other types of data MUST NOT not define byteStride.',
    breaches: (file) => {
      const found = kinds(file);
      return broken(file.json.bufferViews, '/bufferViews', ({ byteStride }, index) => {
        const own = found.get(index);
        return byteStride !== undefined && own !== undefined && !own.has('vertices');
      });
    },
  },
  {
    id: 'accessor-offset-aligned',
    section: '3.6.2.4',
    says: "The offset of an accessor into a bufferView and the offset of an accessor into a buffer MUST be a multiple of the size of the accessor's component type.",
    breaches: inAccessors((accessor, _, file) => {
      const { byteOffset = 0, componentType } = accessor;
      const start = viewOf(file, accessor)?.byteOffset ?? 0;
      const size = BYTES[componentType] ?? 1;
      return byteOffset % size !== 0 || (byteOffset + start) % size !== 0;
    }),
  },
  {
    id: 'vertex-aligned',
    section: '3.6.2.4',
    says: 'each element of a vertex attribute MUST be aligned to 4-byte boundaries inside a bufferView (i.e., accessor.byteOffset and bufferView.byteStride MUST be multiples of 4).',
    breaches: (file) =>
      [...attributes(file)].flatMap((index) => {
        const accessor = file.json.accessors?.[index];
        const view = accessor && viewOf(file, accessor);
        if (accessor === undefined || view === undefined) return [];
        const size = (COMPONENTS[accessor.type] ?? 0) * (BYTES[accessor.componentType] ?? 0);
        // Offsets that no component lies at are told as such.
        const offset = accessor.byteOffset ?? 0;
        const odd = offset % 4 !== 0 && offset % (BYTES[accessor.componentType] ?? 1) === 0;
        return odd || (view.byteStride ?? size) % 4 !== 0 ? [`/accessors/${index}`] : [];
      }),
  },
  {
    id: 'shared-view-stride',
    section: '3.6.2.4',
    says: 'When two or more vertex attribute accessors use the same bufferView, its byteStride MUST be defined.',
    breaches: (file) => {
      const users = [...attributes(file)].map((index) => file.json.accessors?.[index]?.bufferView);
      return broken(
        file.json.bufferViews,
        '/bufferViews',
        ({ byteStride }, index) =>
          byteStride === undefined && users.filter((view) => view === index).length > 1,
      );
    },
  },
  {
    id: 'accessor-fits',
    section: '3.6.2.4',
    says: 'Each accessor MUST fit its bufferView.',
    breaches: inAccessors((accessor, _, file) => {
      const view = viewOf(file, accessor);
      if (view === undefined) return false;
      return (accessor.byteOffset ?? 0) + span(accessor, view.byteStride) > view.byteLength;
    }),
  },
  {
    id: 'accessor-count',
    section: '5.1.5',
    says: 'count: The number of elements referenced by this accessor. Minimum: >= 1.',
    breaches: inAccessors(({ count }) => !(count >= 1)),
  },
  {
    id: 'float-finite',
    section: '3.6.2.2',
    says: 'Values of NaN, +Infinity, and -Infinity MUST NOT be present.',
    breaches: inAccessors(
      ({ componentType }, index, file) =>
        componentType === FLOAT &&
        elements(file, index)?.some((row) => !row.every(Number.isFinite)) === true,
    ),
  },
  {
    id: 'sparse-indices',
    section: '3.6.2.3',
    says: 'The indices MUST form a strictly increasing sequence. The indices MUST NOT be greater than or equal to the number of the base accessor elements.',
    breaches: inAccessors(({ sparse, count }, _, file) => {
      if (sparse === undefined) return false;
      const { bufferView, byteOffset = 0, componentType } = sparse.indices;
      const list = read(file, bufferView, byteOffset, componentType, 1, sparse.count) ?? [];
      const places = list.map(([place = 0]) => place);
      return places.some((place, at) => place >= count || place <= (places[at - 1] ?? -1));
    }),
  },
  {
    id: 'bounds-length',
    section: '3.6.2.5',
    says: "The length of these arrays MUST be equal to the number of accessor's components.",
    breaches: inAccessors(({ min, max, type }) =>
      [min, max].some((list) => list !== undefined && list.length !== COMPONENTS[type]),
    ),
  },
  {
    id: 'bounds-match',
    section: '3.6.2.5',
    says: 'Values stored in glTF JSON MUST match actual minimum and maximum binary values stored in buffers.',
    breaches: inAccessors(({ min, max, componentType, bufferView, sparse }, index, file) => {
      if (bufferView === undefined && sparse === undefined) return false;
      // A number that is none has no place among others.
      const rows = elements(file, index)?.filter((row) => row.every(Number.isFinite));
      if (rows === undefined || rows.length === 0) return false;
      const differs = (list: number[] | undefined, best: (...values: number[]) => number) =>
        list?.some((told, at) => {
          const stored = rows.reduce(
            (known, row) => best(known, row[at] ?? known),
            rows[0]?.[at] ?? 0,
          );
          return (componentType === FLOAT ? Math.fround(told) : told) !== stored;
        }) === true;
      return differs(min, Math.min) || differs(max, Math.max);
    }),
  },
  {
    id: 'bounds-given',
    section: '3.6.2.5',
    says: 'Animation input and vertex position attribute accessors MUST have accessor.min and accessor.max defined.',
    breaches: (file) => {
      const places = primitives(file).flatMap(({ attributes: own, targets = [] }) =>
        [own, ...targets].flatMap(({ POSITION }) => POSITION ?? []),
      );
      const times = (file.json.animations ?? []).flatMap(({ samplers = [] }) =>
        samplers.map(({ input }) => input),
      );
      return [...new Set([...places, ...times])].flatMap((index) => {
        const accessor = file.json.accessors?.[index];
        const lacks =
          accessor !== undefined && (accessor.min === undefined || accessor.max === undefined);
        return lacks ? [`/accessors/${index}`] : [];
      });
    },
  },
];
