import { groupSkins } from '../../rig/group-skins.js';
import type { Rig, RigModel } from '../../rig/types.js';
import type { Editable } from '../file/editable.js';
import type { GltfJson } from '../json/gltf-json.js';
import { references, skeletons, skinnedMeshes } from './joint-references.js';

/**
 * Which joints can go, and why others cannot. What goes may change neither which skins belong
 * together nor which clips pose the rig, and leaves every skin a joint.
 */
export function droppableJoints(
  { json }: Editable,
  model: RigModel,
  rig: Rig,
  idle: readonly boolean[],
): { going: Set<number>; why: Map<number, string> } {
  const why = new Map<number, string>();
  const keep = (joints: Iterable<number>, reason: string): void => {
    for (const joint of joints) if (!why.has(joint)) why.set(joint, reason);
  };
  const [{ numbers }, roots] = [references(json), skeletons(json)];
  rig.joints.node.forEach((node, joint) => {
    if (roots.has(node)) keep([joint], 'a skin names one as its skeleton');
    if (numbers.has(node)) keep([joint], `an extension may refer to node ${node}`);
  });
  keepByWeights(rig, keep);
  keepBySkin(json, rig, keep);
  for (;;) {
    const going = goingOf(rig, idle, why);
    const broken = going.size === 0 ? null : brokenBy(json, model, rig, going);
    if (broken === null) return { going, why };
    keep(broken.joints, broken.reason);
  }
}

/** What would break if some joints went, and which of them have to stay for it; null for nothing. */
function brokenBy(
  json: GltfJson,
  { nodes }: RigModel,
  rig: Rig,
  going: ReadonlySet<number>,
): { joints: Iterable<number>; reason: string } | null {
  const { joints, skins, clips, holders } = rig;
  const bare = skins.find(({ jointOfSlot }) => jointOfSlot.every((joint) => going.has(joint)));
  if (bare !== undefined)
    return { joints: bare.jointOfSlot, reason: 'a skin would be left without a joint' };
  /** A joint's node and the spacers above it. */
  const nodesOf = (joint: number): number[] => [
    joints.node[joint] ?? -1,
    ...(joints.spacers[joint] ?? []),
  ];
  const kept = joints.children.map((_, joint) => joint).filter((joint) => !going.has(joint));
  const posable = new Set([...holders, ...kept.flatMap(nodesOf)]);
  const lost = clips.find(({ keyed }) => ![...keyed.keys()].some((node) => posable.has(node)));
  if (lost !== undefined)
    return {
      joints: [...going].filter((joint) => nodesOf(joint).some((node) => lost.keyed.has(node))),
      reason: `the clip "${lost.name}" poses no other joint of the rig`,
    };
  const groups = (gone: ReadonlySet<number>): string => {
    const left = (json.skins ?? []).map((skin) => ({
      name: null,
      joints: skin.joints.filter((node) => !gone.has(node)),
      inverseBindMatrices: null,
      skeleton: [...skeletons({ skins: [skin] })][0] ?? null,
    }));
    return JSON.stringify(groupSkins(nodes, left));
  };
  const goingNodes = new Set([...going].map((joint) => joints.node[joint] ?? -1));
  return groups(new Set()) === groups(goingNodes)
    ? null
    : { joints: going, reason: 'without them, the skins would not be one rig any more' };
}

type Keep = (joints: Iterable<number>, reason: string) => void;

/** Weights that move nothing as a measure sees it (negative, no number, very small) do hang on a joint. */
function keepByWeights({ parts, skins }: Rig, keep: Keep): void {
  for (const { skin, slots, weights } of parts) {
    const [small, wrong] = [new Set<number>(), new Set<number>()];
    for (let k = 0; k < weights.length; k++) {
      const weight = weights[k] ?? 0;
      if (weight === 0) continue;
      const used = weight > 0 && weight < Infinity ? small : wrong;
      used.add(skins[skin]?.jointOfSlot[slots[k] ?? 0] ?? -1);
    }
    keep(wrong, 'one of them has a weight that is negative or not a number');
    keep(small, 'one of them moves vertices, if only a little; set its weights to 0 first');
  }
}

function keepBySkin(json: GltfJson, { skins }: Rig, keep: Keep): void {
  const shown = skinnedMeshes(json);
  for (const { index, jointOfSlot, matrixCount } of skins) {
    const skinJson = json.skins?.[index];
    if (skinJson !== undefined && 'extensions' in skinJson)
      keep(jointOfSlot, 'an extension describes the skin');
    if (matrixCount !== null && matrixCount < jointOfSlot.length)
      keep(
        jointOfSlot,
        `the skin has ${matrixCount} inverse bind matrices for ${jointOfSlot.length} joints`,
      );
    const moved = shown.filter(({ skin }) => skin === index).map(({ mesh }) => mesh);
    const isUnlike = shown
      .filter(({ mesh }) => moved.includes(mesh))
      .some(({ skin }) => String(json.skins?.[skin]?.joints) !== String(skinJson?.joints));
    if (isUnlike) keep(jointOfSlot, 'two skins move the same mesh');
  }
}

/** Idle joints below which all can go, with all below them. Parents come before their children. */
function goingOf(
  { joints }: Rig,
  idle: readonly boolean[],
  why: ReadonlyMap<number, string>,
): Set<number> {
  const free = joints.children.map((_, joint) => !why.has(joint));
  for (let joint = joints.count - 1; joint >= 0; joint--) {
    const parent = joints.parent[joint] ?? -1;
    if (parent !== -1 && free[joint] !== true) free[parent] = false;
  }
  const going = new Set<number>();
  for (let joint = 0; joint < joints.count; joint++)
    if (going.has(joints.parent[joint] ?? -1) || (idle[joint] === true && free[joint] === true))
      going.add(joint);
  return going;
}
