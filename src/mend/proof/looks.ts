import type { DecodedAccessor } from '../../asset/decode.js';
import { AssetError } from '../../asset/errors.js';
import type { Asset } from '../../asset/load-asset.js';
import { Cursor } from '../../asset/narrow.js';
import { denormalise } from '../../rig/denormalise.js';
import type { RigModel, SkinnedPart } from '../../rig/types.js';
import { readWeightTracks, type WeightTracks, weightAccessors } from './looks-weights.js';
import { type ShownScene, shownScene } from './shown.js';

/** What is seen of a model besides where its vertices are, which no rule asks for. */
export interface Looks {
  /** Of each rig, of each of its parts. */
  readonly parts: readonly (readonly PartLook[])[];
  /** What is no skin. */
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

/** Accessors of an asset's JSON that `looksOf` needs besides those that a check reads. Throws AssetError for what breaks glTF 2.0. */
export function lookAccessors(json: unknown): readonly number[] {
  const root = new Cursor(json);
  const accessors = root.at('accessors').length;
  const found = new Set<number>();
  const meshes = root.at('meshes').list((item) => item);
  for (const mesh of skinnedMeshes(root))
    for (const { attributes, targets } of primitivesOf(meshes[mesh], accessors))
      for (const table of [attributes, ...targets])
        for (const index of Object.values(table)) if (index !== null) found.add(index);
  for (const index of weightAccessors(root)) found.add(index);
  return [...found].sort((a, b) => a - b);
}

/** Reads what is seen of a model from its asset, which was loaded with `lookAccessors`. Throws AssetError. */
export function looksOf(asset: Asset, { rigs }: RigModel): Looks {
  const root = new Cursor(asset.container.json);
  const items = (key: string): Cursor[] => root.at(key).list((item) => item);
  const [nodes, meshes] = [items('nodes'), items('meshes')];
  const known = new Map<number, readonly Omit<PartLook, 'weights'>[]>();
  const look = (part: SkinnedPart): PartLook => {
    const primitives = known.get(part.mesh) ?? readMesh(asset, meshes[part.mesh], part.mesh);
    known.set(part.mesh, primitives);
    const own = primitives[part.primitive] ?? { normals: null, tangents: null, targets: [] };
    const weights = storedWeights(nodes[part.node]) ?? storedWeights(meshes[part.mesh]) ?? [];
    return { ...own, weights: Float64Array.from(own.targets, (_, at) => weights[at] ?? 0) };
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
  asset: Asset,
  item: Cursor | undefined,
  mesh: number,
): Omit<PartLook, 'weights'>[] {
  const { accessors } = asset.document;
  return primitivesOf(item, accessors.length).map(({ attributes, targets }, primitive) => {
    const where = `/meshes/${mesh}/primitives/${primitive}`;
    const position = asset.document.meshes[mesh]?.primitives[primitive]?.attributes.POSITION;
    const count = accessors[position ?? -1]?.count ?? 0;
    const read = (index: number | null, size: number, name: string): Float32Array | null => {
      if (index === null) return null;
      const accessor = asset.decoded.get(index);
      // Nothing would be compared.
      if (accessor === undefined) throw new Error(`accessor ${index} was not asked for`);
      return floats(accessor, size, count, `${where}/${name}`);
    };
    return {
      normals: read(attributes.NORMAL, 3, 'attributes/NORMAL'),
      tangents: read(attributes.TANGENT, 4, 'attributes/TANGENT'),
      targets: targets.map((target, at) => ({
        positions: read(target.POSITION, 3, `targets/${at}/POSITION`),
        normals: read(target.NORMAL, 3, `targets/${at}/NORMAL`),
        tangents: read(target.TANGENT, 3, `targets/${at}/TANGENT`),
      })),
    };
  });
}

function floats(
  accessor: DecodedAccessor,
  size: number,
  count: number,
  where: string,
): Float32Array {
  if (accessor.size !== size || accessor.count !== count)
    throw new AssetError(
      `it holds ${accessor.count} elements of ${accessor.size} numbers, not ${count} of ${size}`,
      where,
    );
  return denormalise(accessor);
}

interface LookIndices {
  readonly attributes: { readonly NORMAL: number | null; readonly TANGENT: number | null };
  readonly targets: readonly {
    readonly POSITION: number | null;
    readonly NORMAL: number | null;
    readonly TANGENT: number | null;
  }[];
}

function primitivesOf(mesh: Cursor | undefined, accessors: number): LookIndices[] {
  const read = (table: Cursor, name: string): number | null =>
    table.at(name).or(null, (entry) => entry.index('accessor', accessors));
  return (
    mesh?.at('primitives').list((primitive) => {
      const attributes = primitive.at('attributes');
      return {
        attributes: { NORMAL: read(attributes, 'NORMAL'), TANGENT: read(attributes, 'TANGENT') },
        targets: primitive.at('targets').list((target) => {
          target.object();
          return {
            POSITION: read(target, 'POSITION'),
            NORMAL: read(target, 'NORMAL'),
            TANGENT: read(target, 'TANGENT'),
          };
        }),
      };
    }) ?? []
  );
}

function skinnedMeshes(root: Cursor): number[] {
  const meshes = root.at('meshes').length;
  const found = root
    .at('nodes')
    .list((node) =>
      node.at('skin').missing
        ? null
        : node.at('mesh').or(null, (mesh) => mesh.index('mesh', meshes)),
    );
  return [...new Set(found)].filter((mesh) => mesh !== null);
}

/** The weights that a node or a mesh is stored with; null where none are. */
function storedWeights(owner: Cursor | undefined): readonly number[] | null {
  return owner?.at('weights').or(null, (weights) => weights.numbers(weights.length)) ?? null;
}
