import { AssetError } from '../../asset/errors.js';
import type { Asset } from '../../asset/load-asset.js';
import { Cursor } from '../../asset/narrow.js';
import { denormalise } from '../../rig/denormalise.js';
import type { RigModel, SkinnedPart } from '../../rig/types.js';
import { readWeightTracks, type WeightTracks, weightAccessors } from './looks-weights.js';
import { type ShownScene, shownScene } from './shown.js';

/** What is seen of a model besides the places of its vertices; no rule needs it. */
export interface Looks {
  /** Of each rig, of each of its parts. */
  readonly parts: readonly (readonly PartLook[])[];
  /** What is not skinned. */
  readonly scene: ShownScene;
  /** How clips weigh morph targets. */
  readonly tracks: WeightTracks;
  /** Names of all clips, as the model has them. */
  readonly clips: readonly string[];
}

/** Normals, tangents and morph targets of one part. */
export interface PartLook extends Directions {
  readonly targets: readonly TargetLook[];
  /** Weight of each target as stored: the node's, else the mesh's, else 0 (glTF 2.0, 3.7.2.2). */
  readonly weights: Float64Array;
}

interface Directions {
  /** x, y, z a vertex; null where there are none. */
  readonly normals: Float32Array | null;
  /** x, y, z and handedness a vertex; of a morph target x, y, z alone (glTF 2.0, 3.7.2.2). */
  readonly tangents: Float32Array | null;
}

/** What a morph target adds at full weight. */
export interface TargetLook extends Directions {
  /** x, y, z a vertex; null where it moves none. */
  readonly positions: Float32Array | null;
}

type PrimitiveLook = Omit<PartLook, 'weights'>;

/** Accessors of an asset's JSON that `looksOf` needs besides those that a check reads. Throws AssetError for what breaks glTF 2.0. */
export function lookAccessors(json: unknown): readonly number[] {
  const root = new Cursor(json);
  const accessors = root.at('accessors').length;
  const meshes = root.at('meshes').list((mesh) => mesh);
  const skinned = root.at('nodes').list((node) => {
    if (node.at('skin').missing) return null;
    return node.at('mesh').or(null, (mesh) => mesh.index('mesh', meshes.length));
  });
  const tables = [...new Set(skinned)]
    .flatMap((mesh) => primitivesOf(meshes[mesh ?? -1], accessors))
    .flatMap(({ attributes, targets }) => [attributes, ...targets]);
  const found = tables.flatMap((table) => Object.values(table)).filter((index) => index !== null);
  return [...new Set([...found, ...weightAccessors(root)])].sort((a, b) => a - b);
}

/** Reads what is seen of a model from its asset, which was loaded with `lookAccessors`. Throws AssetError. */
export function looksOf(asset: Asset, { rigs }: RigModel): Looks {
  const root = new Cursor(asset.container.json);
  const nodes = root.at('nodes').list((node) => node);
  const meshes = root.at('meshes').list((mesh) => mesh);
  const read = new Map<number, readonly PrimitiveLook[]>();
  const look = (part: SkinnedPart): PartLook => {
    const primitives = read.get(part.mesh) ?? readMesh(asset, meshes[part.mesh], part.mesh);
    read.set(part.mesh, primitives);
    const plain = primitives[part.primitive] ?? { normals: null, tangents: null, targets: [] };
    const weights = storedWeights(nodes[part.node]) ?? storedWeights(meshes[part.mesh]) ?? [];
    return { ...plain, weights: Float64Array.from(plain.targets, (_, at) => weights[at] ?? 0) };
  };
  return {
    parts: rigs.map(({ parts }) => parts.map(look)),
    // Without a rig nothing is mended, and no key was read.
    scene: rigs.length === 0 ? { shown: [], clips: [] } : shownScene(asset),
    tracks: readWeightTracks(asset, root),
    clips: asset.document.animations.map(({ name }, index) => name ?? `clip ${index + 1}`),
  };
}

function readMesh(
  { document, decoded }: Asset,
  cursor: Cursor | undefined,
  mesh: number,
): PrimitiveLook[] {
  return primitivesOf(cursor, document.accessors.length).map((indices, primitive) => {
    const position = document.meshes[mesh]?.primitives[primitive]?.attributes.POSITION;
    const count = document.accessors[position ?? -1]?.count ?? 0;
    const read = (index: number | null, size: number, where: string): Float32Array | null => {
      if (index === null) return null;
      const accessor = decoded.get(index);
      // Nothing would be compared.
      if (accessor === undefined) throw new Error(`accessor ${index} was not asked for`);
      if (accessor.size !== size || accessor.count !== count)
        throw new AssetError(
          `it holds ${accessor.count} elements of ${accessor.size} numbers, not ${count} of ${size}`,
          `/meshes/${mesh}/primitives/${primitive}/${where}`,
        );
      return denormalise(accessor);
    };
    const readAll = (table: LookIndices, tangentSize: 3 | 4, where: string): TargetLook => ({
      positions: read(table.POSITION, 3, `${where}/POSITION`),
      normals: read(table.NORMAL, 3, `${where}/NORMAL`),
      tangents: read(table.TANGENT, tangentSize, `${where}/TANGENT`),
    });
    const { normals, tangents } = readAll(indices.attributes, 4, 'attributes');
    const targets = indices.targets.map((target, at) => readAll(target, 3, `targets/${at}`));
    return { normals, tangents, targets };
  });
}

/** Accessors, null where there are none. */
type LookIndices = Readonly<Record<'POSITION' | 'NORMAL' | 'TANGENT', number | null>>;

/** Positions of the attributes are left out: every check reads them. */
function primitivesOf(
  mesh: Cursor | undefined,
  accessors: number,
): { readonly attributes: LookIndices; readonly targets: readonly LookIndices[] }[] {
  const read = (table: Cursor, name: string): number | null =>
    table.at(name).or(null, (entry) => entry.index('accessor', accessors));
  const directions = (table: Cursor) => ({
    NORMAL: read(table, 'NORMAL'),
    TANGENT: read(table, 'TANGENT'),
  });
  const primitives = mesh?.at('primitives').list((primitive) => ({
    attributes: { POSITION: null, ...directions(primitive.at('attributes')) },
    targets: primitive
      .at('targets')
      .list((target) => ({ POSITION: read(target, 'POSITION'), ...directions(target) })),
  }));
  return primitives ?? [];
}

/** The weights that a node or a mesh is stored with; null where none are. */
function storedWeights(owner: Cursor | undefined): readonly number[] | null {
  return owner?.at('weights').or(null, (weights) => weights.numbers(weights.length)) ?? null;
}
