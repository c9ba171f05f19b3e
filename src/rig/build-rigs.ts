import { AssetError } from '../asset/errors.js';
import type { GltfHumanoid } from '../asset/gltf-types.js';
import { ASSET_LIMITS } from '../asset/limits.js';
import type { Asset } from '../asset/load-asset.js';
import { buildClips, clipsOf } from './build-clips.js';
import { buildPart, type PartGeometry } from './build-parts.js';
import { buildSkin } from './build-skin.js';
import { findHolders, type HoldersOfRig } from './find-holders.js';
import { groupSkins } from './group-skins.js';
import { buildJointTable, isNamed } from './joint-table.js';
import { buildNodeTable } from './node-table.js';
import { besideRigs, placedMeshes } from './scene-meshes.js';
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
  const nodes = buildNodeTable(asset.document);
  // Without a skin nothing is posed, and no clip data was read.
  const clips = asset.document.skins.length === 0 ? [] : buildClips(asset);
  const geometry = new Map<string, PartGeometry | null>();
  const groups = groupSkins(nodes, asset.document.skins);
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
  const beside = besideRigs(asset.document, nodes, groups, tables, placed);
  const rigs = groups.flatMap((group, index) => {
    const [table, above, others] = [tables[index], holders[index], beside[index]];
    if (table === undefined || above === undefined || others === undefined) return [];
    const rig = buildRig(asset, nodes, clips, geometry, group, index, table, above);
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
  index: number,
  joints: JointTable,
  { holders, holderWays, hasCommonRoot }: HoldersOfRig,
): Omit<Rig, 'beside'> {
  const sources = group.flatMap((skin) => asset.document.skins[skin] ?? []);
  const skins = sources.map((skin, place) => buildSkin(asset, skin, group[place] ?? 0, joints));
  const parts = buildRigParts(asset, geometry, skins);
  const posed = new Set<number>([
    ...joints.node,
    ...[...new Set(joints.spacers)].flat(),
    ...holders,
  ]);
  return {
    index,
    name: rigName(asset, nodes, skins, joints, parts),
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
  geometry: Map<string, PartGeometry | null>,
  skins: readonly RigSkin[],
): SkinnedPart[] {
  const parts: SkinnedPart[] = [];
  const seen = new Set<string>();
  let total = 0;
  asset.document.nodes.forEach((node, index) => {
    const skin = skins.findIndex((item) => item.index === node.skin);
    if (skin === -1 || node.mesh === null) return;
    const mesh = asset.document.meshes[node.mesh];
    const label = [node.name, mesh?.name].find(isNamed) ?? `mesh ${node.mesh + 1}`;
    mesh?.primitives.forEach((source, primitive) => {
      const key = `${node.mesh}/${primitive}`;
      let shape = geometry.get(key);
      if (shape === undefined) {
        shape = buildPart(asset, source, `/meshes/${node.mesh}/primitives/${primitive}`);
        geometry.set(key, shape);
      }
      if (shape === null) return;
      const vertices = `${skin} ${JSON.stringify(source.attributes)}`;
      const sharesVertices = seen.has(vertices);
      seen.add(vertices);
      total += shape.vertexCount;
      if (total > ASSET_LIMITS.vertices) {
        throw new AssetError(
          `${total} vertices and more are too many to measure`,
          `/nodes/${index}`,
        );
      }
      parts.push({
        node: index,
        mesh: node.mesh ?? 0,
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

/** What people call the rig: the skin's name, else the mesh's, else the topmost joint's. */
function rigName(
  asset: Asset,
  nodes: NodeTable,
  skins: readonly RigSkin[],
  joints: JointTable,
  parts: readonly SkinnedPart[],
): string {
  const top = joints.node[0];
  const holder = top === undefined ? -1 : (nodes.parent[top] ?? -1);
  const candidates = [
    ...skins.map((skin) => skin.name),
    holder === -1 ? null : nodes.names[holder],
    asset.document.meshes[parts[0]?.mesh ?? -1]?.name,
    top === undefined ? null : nodes.names[top],
  ];
  return candidates.find(isNamed) ?? 'unnamed';
}
