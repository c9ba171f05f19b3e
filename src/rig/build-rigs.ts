import { AssetError } from '../asset/errors.js';
import type { GltfHumanoid } from '../asset/gltf-types.js';
import { ASSET_LIMITS } from '../asset/limits.js';
import type { Asset } from '../asset/load-asset.js';
import { buildClips, clipsOf } from './build-clips.js';
import { buildPart, type PartGeometry } from './build-parts.js';
import { buildSkin } from './build-skin.js';
import { findHolders, type HoldersOfRig } from './find-holders.js';
import { groupSkins } from './group-skins.js';
import { buildJointTable } from './joint-table.js';
import { isNamed } from './node-name.js';
import { buildNodeTable } from './node-table.js';
import { PartLabels } from './part-labels.js';
import { rigNames } from './rig-names.js';
import { besideRigs, placedMeshes } from './scene-meshes.js';
import { orderSkins } from './skin-order.js';
import type {
  Clip,
  Humanoid,
  JointTable,
  NodeTable,
  Rig,
  RigModel,
  RigSkin,
  SkinnedPart,
} from './types.js';

/** Makes the rigs of an asset from its document and decoded data. Throws AssetError. */
export function buildRigs(asset: Asset): RigModel {
  const nodes = buildNodeTable(asset.document, asset.decoded);
  // Without a skin nothing is posed, and no clip data was read.
  const clips = asset.document.skins.length === 0 ? [] : buildClips(asset);
  const geometry = new Map<string, PartGeometry | null>();
  const groups = orderedGroups(asset, nodes);
  if (groups.length * nodes.count > ASSET_LIMITS.rigNodes) {
    throw new AssetError(
      `${groups.length} rigs among ${nodes.count} nodes are too many to lay out`,
      '/skins',
    );
  }
  const sources = groups.map((group) => group.flatMap((skin) => asset.document.skins[skin] ?? []));
  const tables = sources.map((skins) =>
    buildJointTable(nodes, new Set(skins.flatMap((skin) => skin.joints))),
  );
  const placed = placedMeshes(asset.document);
  const holders = findHolders(nodes, tables, placed);
  const names = rigNames(nodes, tables);
  const beside = besideRigs(asset.document, nodes, groups, tables, placed);
  const rigs = groups.flatMap((group, index) => {
    const [table, above, others] = [tables[index], holders[index], beside[index]];
    if (table === undefined || above === undefined || others === undefined) return [];
    const name = names[index] ?? '';
    const rig = buildRig(asset, nodes, clips, geometry, group, { index, name }, table, above);
    return { ...rig, beside: others };
  });
  return { nodes, rigs };
}

function buildRig(
  asset: Asset,
  nodes: NodeTable,
  clips: readonly Clip[],
  geometry: Map<string, PartGeometry | null>,
  group: readonly number[],
  { index, name }: Pick<Rig, 'index' | 'name'>,
  joints: JointTable,
  { holders, holderWays, hasCommonRoot }: HoldersOfRig,
): Omit<Rig, 'beside'> {
  const sources = group.flatMap((skin) => asset.document.skins[skin] ?? []);
  const skins = sources.map((skin, place) => buildSkin(asset, skin, group[place] ?? 0, joints));
  const parts = buildRigParts(asset, nodes, geometry, skins);
  const posed = new Set<number>([
    ...joints.node,
    ...[...new Set(joints.spacers)].flat(),
    ...holders,
  ]);
  return {
    index,
    name,
    nodes,
    joints,
    humanoid: mappedJoints(asset.document.humanoid, joints),
    skins,
    parts,
    holders,
    holderWays,
    meshNodes: [...new Set(parts.map((part) => part.node))],
    hasCommonRoot,
    clips: clipsOf(clips, posed),
  };
}

/** The skins of each rig, and the rigs, in an order that no export changes. */
function orderedGroups({ document }: Asset, nodes: NodeTable): number[][] {
  const groups = groupSkins(nodes, document.skins);
  const groupOf = new Map(groups.flatMap((group) => group.map((skin) => [skin, group] as const)));
  const ordered = new Map<readonly number[], number[]>();
  for (const skin of orderSkins(document, nodes)) {
    const group = groupOf.get(skin) ?? [];
    ordered.set(group, [...(ordered.get(group) ?? []), skin]);
  }
  return [...ordered.values()];
}

/** The part of the asset's mapping that names joints of this rig. */
function mappedJoints(humanoid: GltfHumanoid | null, { ofNode }: JointTable): Humanoid | null {
  if (humanoid === null) return null;
  const joints = new Map(
    [...humanoid.nodes]
      .map(([bone, node]) => [bone, ofNode[node] ?? -1] as const)
      .filter(([, joint]) => joint !== -1),
  );
  return joints.size === 0 ? null : { version: humanoid.version, joints };
}

function buildRigParts(
  asset: Asset,
  nodes: NodeTable,
  geometry: Map<string, PartGeometry | null>,
  skins: readonly RigSkin[],
): SkinnedPart[] {
  const parts: SkinnedPart[] = [];
  const seen = new Set<string>();
  const labels = new PartLabels();
  let total = 0;
  nodes.order.forEach((index) => {
    const node = asset.document.nodes[index];
    const skin = skins.findIndex((item) => item.index === node?.skin);
    if (skin === -1 || node?.mesh == null) return;
    const { mesh: meshIndex } = node;
    const mesh = asset.document.meshes[meshIndex];
    const label = labels.next([node.name, mesh?.name].find(isNamed));
    mesh?.primitives.forEach((source, primitive) => {
      const key = `${meshIndex}/${primitive}`;
      let shape = geometry.get(key);
      if (shape === undefined) {
        shape = buildPart(asset, source, `/meshes/${meshIndex}/primitives/${primitive}`);
        geometry.set(key, shape);
      }
      if (shape === null) return;
      const vertices = `${skin} ${JSON.stringify(source.attributes)}`;
      const sharesVertices = seen.has(vertices);
      seen.add(vertices);
      total += shape.vertexCount;
      if (total > ASSET_LIMITS.vertices) {
        throw new AssetError(
          `${total} vertices or more are too many to measure`,
          `/nodes/${index}`,
        );
      }
      parts.push({
        node: index,
        mesh: meshIndex,
        primitive,
        label,
        skin,
        sharesVertices,
        ...shape,
      });
    });
  });
  return parts;
}
