import { primitives } from './accessors.js';
import { broken, type Must } from './must.js';
import { lineOf } from './nodes.js';
import { elements, FLOAT } from './values.js';
import type { FilePrimitive, FileSkin, WholeFile } from './whole-file.js';

/** The largest of a component type for weights; null for floats. */
const FULL: Readonly<Record<number, number>> = { 5121: 255, 5123: 65535 };

/** Of the sum of one vertex, for each weight that is not zero (3.7.3.3, implementation note). */
const FLOAT_SUM = 2e-7;

const inSkins =
  (isBroken: (skin: FileSkin, file: WholeFile) => boolean): Must['breaches'] =>
  (file) =>
    broken(file.json.skins, '/skins', (skin) => isBroken(skin, file));

/** Sets of a semantic that a primitive has, by number. */
function sets({ attributes }: FilePrimitive, semantic: string): number[] {
  const found = Object.keys(attributes).flatMap((name) =>
    name.startsWith(`${semantic}_`) ? [Number(name.slice(semantic.length + 1))] : [],
  );
  return found.sort((a, b) => a - b);
}

interface Influence {
  readonly joint: number;
  readonly weight: number;
}

type Influences = readonly (readonly Influence[])[] | null;

/** What was put together of a file that is looked at, so that each must does not do it again. */
const together = new WeakMap<WholeFile, Map<FilePrimitive, Influences>>();

/** Of each vertex of a primitive, all sets together; null where they cannot be read. */
function influences(file: WholeFile, primitive: FilePrimitive): Influences {
  const ofFile = together.get(file) ?? new Map<FilePrimitive, Influences>();
  together.set(file, ofFile);
  const known = ofFile.get(primitive);
  if (known !== undefined) return known;
  const found = allSets(file, primitive);
  ofFile.set(primitive, found);
  return found;
}

function allSets(file: WholeFile, primitive: FilePrimitive): Influence[][] | null {
  const all: Influence[][] = [];
  for (const set of sets(primitive, 'WEIGHTS')) {
    const joints = elements(file, primitive.attributes[`JOINTS_${set}`]);
    const weights = elements(file, primitive.attributes[`WEIGHTS_${set}`]);
    if (joints === null || weights === null) return null;
    weights.forEach((row, vertex) => {
      all[vertex] ??= [];
      row.forEach((weight, k) => {
        all[vertex]?.push({ joint: joints[vertex]?.[k] ?? 0, weight });
      });
    });
  }
  return all;
}

const inWeights =
  (isBroken: (vertex: readonly Influence[], component: number) => boolean): Must['breaches'] =>
  (file) =>
    broken(primitives(file), '/primitives', (primitive) => {
      const component =
        file.json.accessors?.[primitive.attributes.WEIGHTS_0 ?? -1]?.componentType ?? 0;
      return influences(file, primitive)?.some((vertex) => isBroken(vertex, component)) === true;
    });

const inSets =
  (semantic: 'JOINTS' | 'WEIGHTS', types: readonly number[]): Must['breaches'] =>
  (file) =>
    broken(primitives(file), '/primitives', (primitive) =>
      sets(primitive, semantic).some((set) => {
        const accessor = file.json.accessors?.[primitive.attributes[`${semantic}_${set}`] ?? -1];
        if (accessor === undefined) return false;
        const normalized = semantic === 'WEIGHTS' && accessor.componentType !== FLOAT;
        return (
          accessor.type !== 'VEC4' ||
          !types.includes(accessor.componentType) ||
          (accessor.normalized ?? false) !== normalized
        );
      }),
    );

/** glTF 2.0, 3.7.3 Skins, and 5.28 Skin. */
export const SKINS: readonly Must[] = [
  {
    id: 'matrices-type',
    section: '3.7.3.1',
    says: 'An accessor referenced by inverseBindMatrices MUST have floating-point components of "MAT4" type.',
    breaches: inSkins(({ inverseBindMatrices }, { json }) => {
      const accessor = json.accessors?.[inverseBindMatrices ?? -1];
      return (
        accessor !== undefined && (accessor.type !== 'MAT4' || accessor.componentType !== FLOAT)
      );
    }),
  },
  {
    id: 'matrices-count',
    section: '3.7.3.1, 5.28.1',
    says: 'The number of elements of the accessor referenced by inverseBindMatrices MUST be greater than or equal to the number of joints elements.',
    breaches: inSkins(({ inverseBindMatrices, joints }, { json }) => {
      const accessor = json.accessors?.[inverseBindMatrices ?? -1];
      return accessor !== undefined && accessor.count < joints.length;
    }),
  },
  {
    id: 'matrices-last-row',
    section: '3.7.3.1',
    says: 'The fourth row of each matrix MUST be set to [0.0, 0.0, 0.0, 1.0].',
    breaches: inSkins(({ inverseBindMatrices }, file) => {
      const rows = elements(file, inverseBindMatrices) ?? [];
      return rows.some(
        (m) => m.length === 16 && (m[3] !== 0 || m[7] !== 0 || m[11] !== 0 || m[15] !== 1),
      );
    }),
  },
  {
    id: 'joints-unique',
    section: '5.28.3',
    says: 'joints: Each element in the array MUST be unique.',
    breaches: inSkins(({ joints }) => new Set(joints).size < joints.length),
  },
  {
    id: 'common-root',
    section: '3.7.3.2',
    says: "Each skin's joints MUST have a common parent node (direct or indirect) called common root.",
    breaches: inSkins(({ joints }, file) => {
      const [first = [], ...others] = joints.map((joint) => lineOf(file, joint));
      return !first.some((node) => others.every((line) => line.includes(node)));
    }),
  },
  {
    id: 'root-in-scene',
    section: '3.7.3.2',
    says: 'When a skin is referenced by a node within a scene, the common root MUST belong to the same scene.',
    breaches: (file) =>
      broken(file.json.nodes, '/nodes', ({ skin }, index) => {
        const [joint] = file.json.skins?.[skin ?? -1]?.joints ?? [];
        if (joint === undefined) return false;
        const [top, rigTop] = [lineOf(file, index).at(-1), lineOf(file, joint).at(-1)];
        return (file.json.scenes ?? []).some(
          ({ nodes = [] }) => nodes.includes(top ?? -1) && !nodes.includes(rigTop ?? -1),
        );
      }),
  },
  {
    id: 'skeleton-above',
    section: '3.7.3.1',
    says: 'The skeleton property (if present) points to the node that is the common root of a joints hierarchy or to a direct or indirect parent node of the common root.',
    breaches: inSkins(
      ({ skeleton, joints }, file) =>
        skeleton !== undefined && joints.some((joint) => !lineOf(file, joint).includes(skeleton)),
    ),
  },
  {
    id: 'skinned-attributes',
    section: '3.7.3.3',
    says: 'The skinned mesh MUST have vertex attributes that are used in skinning calculations.',
    breaches: (file) =>
      broken(file.json.nodes, '/nodes', ({ skin, mesh }) => {
        const own = file.json.meshes?.[mesh ?? -1]?.primitives ?? [];
        return skin !== undefined && own.some((item) => sets(item, 'JOINTS')[0] !== 0);
      }),
  },
  {
    id: 'sets-in-twos',
    section: '3.7.3.3',
    says: 'For a given primitive, the number of JOINTS_n attribute sets MUST be equal to the number of WEIGHTS_n attribute sets.',
    breaches: (file) =>
      broken(
        primitives(file),
        '/primitives',
        (item) => sets(item, 'JOINTS').length !== sets(item, 'WEIGHTS').length,
      ),
  },
  {
    id: 'sets-consecutive',
    section: '3.7.2.1',
    says: 'All indices for indexed attribute semantics MUST start with 0 and be consecutive positive integers.',
    breaches: (file) =>
      broken(primitives(file), '/primitives', (item) =>
        ['JOINTS', 'WEIGHTS'].some((semantic) =>
          sets(item, semantic).some((set, place) => set !== place),
        ),
      ),
  },
  {
    id: 'joints-type',
    section: '3.7.3.3',
    says: 'the referenced accessors MUST have VEC4 type and following component types: JOINTS_n: unsigned byte or unsigned short.',
    breaches: inSets('JOINTS', [5121, 5123]),
  },
  {
    id: 'weights-type',
    section: '3.7.3.3',
    says: 'the referenced accessors MUST have VEC4 type and following component types: WEIGHTS_n: float, or normalized unsigned byte, or normalized unsigned short.',
    breaches: inSets('WEIGHTS', [5121, 5123, FLOAT]),
  },
  {
    id: 'weight-not-negative',
    section: '3.7.3.3',
    says: 'The joint weights for each vertex MUST NOT be negative.',
    breaches: inWeights((vertex) => vertex.some(({ weight }) => weight < 0)),
  },
  {
    id: 'joint-once',
    section: '3.7.3.3',
    says: 'Joints MUST NOT contain more than one non-zero weight for a given vertex.',
    breaches: inWeights((vertex) => {
      const used = vertex.flatMap(({ joint, weight }) => (weight === 0 ? [] : [joint]));
      return new Set(used).size < used.length;
    }),
  },
  {
    id: 'weight-sum-stored',
    section: '3.7.3.3',
    says: 'When the weights are stored using normalized unsigned byte, or normalized unsigned short component types, their linear sum before normalization MUST be 255 or 65535 respectively.',
    breaches: inWeights((vertex, component) => {
      const full = FULL[component];
      return full !== undefined && vertex.reduce((sum, { weight }) => sum + weight, 0) !== full;
    }),
  },
  {
    id: 'weight-sum-float',
    section: '3.7.3.3',
    says: 'When the weights are stored using float component type, their linear sum SHOULD be as close as reasonably possible to 1.0 for a given vertex.',
    breaches: inWeights((vertex, component) => {
      const used = vertex.filter(({ weight }) => weight !== 0);
      const sum = used.reduce((all, { weight }) => all + weight, 0);
      // What is no sum, or takes something away, is told as such.
      const odd = !Number.isFinite(sum) || used.some(({ weight }) => weight < 0);
      return component === FLOAT && !odd && Math.abs(sum - 1) > FLOAT_SUM * used.length;
    }),
  },
  {
    id: 'joint-in-skin',
    section: '3.7.3.3',
    says: 'All joint values MUST be within the range of joints in the skin.',
    breaches: (file) =>
      broken(file.json.nodes, '/nodes', ({ skin, mesh }) => {
        const count = file.json.skins?.[skin ?? -1]?.joints.length;
        const own = file.json.meshes?.[mesh ?? -1]?.primitives ?? [];
        return (
          count !== undefined &&
          own.some((item) =>
            influences(file, item)?.some((vertex) => vertex.some(({ joint }) => joint >= count)),
          )
        );
      }),
  },
];
