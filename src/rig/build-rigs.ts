import { AssetError } from '../asset/errors.js';
import type { GltfHumanoid } from '../asset/gltf-types.js';
import { ASSET_LIMITS } from '../asset/limits.js';
import type { Asset } from '../asset/load-asset.js';
import { buildClips, clipsOf } from './build-clips.js';
import { buildPart, type PartGeometry } from './build-parts.js';
import { buildSkin } from './build-skin.js';
import { findHolders } from './find-holders.js';
import { groupBy } from './group-by.js';
import { groupSkins } from './group-skins.js';
import { buildJointTable } from './joint-table.js';
import { isNamed } from './node-name.js';
import { buildNodeTable } from './node-table.js';
import { numberedNames, rigNames } from './rig-names.js';
import { besideRigs, placedMeshes } from './scene-meshes.js';
import { orderSkins } from './skin-order.js';
import type { Humanoid, JointTable, NodeTable, RigModel, RigSkin, SkinnedPart } from './types.js';

/** Makes the rigs of an asset from its document and decoded data. Throws AssetError. */
export function buildRigs(asset: Asset): RigModel {
  const nodes = buildNodeTable(asset.document, asset.decoded);
  // Without a skin nothing is posed; clip data was read only where it was asked for.
  const channels = asset.document.animations.flatMap((animation) => animation.channels);
  const isRead = channels.every(({ input }) => asset.decoded.has(input));
  const clips = asset.document.skins.length > 0 || isRead ? buildClips(asset) : [];
  const geometry = new Map<string, PartGeometry | null>();
  const groups = orderedGroups(asset, nodes);
  if (groups.length * nodes.count > ASSET_LIMITS.rigNodes)
    throw new AssetError(
      `${groups.length} rigs among ${nodes.count} nodes are too many to lay out`,
      '/skins',
    );
  const tables = groups.map((group) => {
    const joints = group.flatMap((skin) => asset.document.skins[skin]?.joints ?? []);
    return buildJointTable(nodes, new Set(joints));
  });
  const placed = placedMeshes(asset.document);
  const holders = findHolders(nodes, tables, placed);
  const names = rigNames(nodes, tables);
  const beside = besideRigs(asset.document, nodes, groups, tables, placed);
  const rigs = groups.flatMap((group, index) => {
    const [joints, above, others] = [tables[index], holders[index], beside[index]];
    if (joints === undefined || above === undefined || others === undefined) return [];
    const skins = group.flatMap((skin) => {
      const source = asset.document.skins[skin];
      return source === undefined ? [] : [buildSkin(asset, source, skin, joints)];
    });
    const parts = buildRigParts(asset, nodes, geometry, skins);
    const posed = [...joints.node, ...[...new Set(joints.spacers)].flat(), ...above.holders];
    return {
      index,
      name: names[index] ?? '',
      nodes,
      joints,
      humanoid: mappedJoints(asset.document.humanoid, joints),
      skins,
      parts,
      ...above,
      beside: others,
      meshNodes: [...new Set(parts.map((part) => part.node))],
      clips: clipsOf(clips, new Set(posed)),
    };
  });
  return { nodes, rigs, clips };
}

/** The skins of each rig, and the rigs, in an order that no export changes. */
function orderedGroups({ document }: Asset, nodes: NodeTable): number[][] {
  const groups = groupSkins(nodes, document.skins);
  const groupOf = new Map(groups.flatMap((group) => group.map((skin) => [skin, group] as const)));
  return [...groupBy(orderSkins(document, nodes), (skin) => groupOf.get(skin)).values()];
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
  const labelOf = numberedNames();
  const placeOfSkin = new Map(skins.map(({ index }, place) => [index, place]));
  let total = 0;
  for (const node of nodes.order) {
    const source = asset.document.nodes[node];
    const skin = placeOfSkin.get(source?.skin ?? -1);
    if (skin === undefined || source?.mesh == null) continue;
    const { name, mesh } = source;
    const shown = asset.document.meshes[mesh];
    const label = labelOf([name, shown?.name].find(isNamed) ?? 'unnamed mesh');
    shown?.primitives.forEach((stored, primitive) => {
      const where = `/meshes/${mesh}/primitives/${primitive}`;
      const shape = geometry.has(where) ? geometry.get(where) : buildPart(asset, stored, where);
      geometry.set(where, shape ?? null);
      if (shape == null) return;
      const vertices = `${skin} ${JSON.stringify(stored.attributes)}`;
      const sharesVertices = seen.has(vertices);
      seen.add(vertices);
      total += shape.vertexCount;
      if (total > ASSET_LIMITS.vertices)
        throw new AssetError(`${total} vertices or more are too many to measure`, `/nodes/${node}`);
      parts.push({ node, mesh, primitive, label, skin, sharesVertices, ...shape });
    });
  }
  return parts;
}
