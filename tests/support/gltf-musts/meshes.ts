import { primitives } from './accessors.js';
import { broken, type Must } from './must.js';
import { BYTES, elements, FLOAT } from './values.js';
import type { FilePrimitive, WholeFile } from './whole-file.js';

const inPrimitives =
  (isBroken: (primitive: FilePrimitive, file: WholeFile) => boolean): Must['breaches'] =>
  (file) =>
    broken(primitives(file), '/primitives', (primitive) => isBroken(primitive, file));

const countsOf = ({ json }: WholeFile, map: Readonly<Record<string, number>>): number[] =>
  Object.values(map).flatMap((index) => json.accessors?.[index]?.count ?? []);

/** glTF 2.0, 3.7.2 Meshes. */
export const MESHES: readonly Must[] = [
  {
    id: 'position-type',
    section: '3.7.2.1',
    says: 'POSITION: VEC3, float (with KHR_mesh_quantization, bytes and shorts as well).',
    breaches: inPrimitives(({ attributes }, { json }) => {
      const accessor = json.accessors?.[attributes.POSITION ?? -1];
      const quantised = json.extensionsUsed?.includes('KHR_mesh_quantization') === true;
      const fits =
        accessor?.componentType === FLOAT || (quantised && accessor?.componentType !== 5125);
      return accessor !== undefined && !(accessor.type === 'VEC3' && fits);
    }),
  },
  {
    id: 'attribute-counts',
    section: '3.7.2.1',
    says: 'All attribute accessors for a given primitive MUST have the same count.',
    breaches: inPrimitives(({ attributes }, file) => new Set(countsOf(file, attributes)).size > 1),
  },
  {
    id: 'target-counts',
    section: '3.7.2.2',
    says: 'All morph target accessors MUST have the same count as the accessors of the original primitive.',
    breaches: inPrimitives(({ attributes, targets = [] }, file) => {
      const [count] = countsOf(file, attributes);
      return targets.some((target) => countsOf(file, target).some((own) => own !== count));
    }),
  },
  {
    id: 'target-number',
    section: '3.7.2.2',
    says: 'All primitives MUST have the same number of morph targets in the same order.',
    breaches: ({ json }) =>
      broken(
        json.meshes,
        '/meshes',
        (mesh) => new Set(mesh.primitives?.map(({ targets = [] }) => targets.length)).size > 1,
      ),
  },
  {
    id: 'index-of-vertex',
    section: '3.7.2.1',
    says: "all index values MUST be less than attribute accessors' count. indices accessor MUST NOT contain the maximum possible value for the component type used.",
    breaches: inPrimitives(({ attributes, indices }, file) => {
      const [count = Infinity] = countsOf(file, attributes);
      const type = file.json.accessors?.[indices ?? -1]?.componentType ?? 0;
      const most = 2 ** (8 * (BYTES[type] ?? 8)) - 1;
      return elements(file, indices)?.some(([at = 0]) => at >= count || at === most) === true;
    }),
  },
];
