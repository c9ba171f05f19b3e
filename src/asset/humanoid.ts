import type { GltfHumanoid } from './gltf-types.js';
import { HUMAN_BONES, type HumanBone, type VrmVersion } from './human-bones.js';
import { memberOf } from './narrow.js';

/** One entry of a mapping as the file gives it, not narrowed yet. */
type Entry = Readonly<Record<'bone' | 'node', unknown>>;

/**
 * The humanoid mapping of an asset: `VRMC_vrm` (VRM 1.0), else `VRM` (VRM 0.x); null where neither
 * names a node.
 *
 * It only adds names, so whatever is wrong with it never makes an asset unreadable: an entry that
 * cannot be read, or that contradicts another, is passed over as if it were not there.
 */
export function parseHumanoid(root: unknown, nodeCount: number): GltfHumanoid | null {
  const extensions = memberOf(root, 'extensions');
  return (
    mapping('1.0', entriesByName(humanBones(extensions, 'VRMC_vrm')), nodeCount) ??
    mapping('0.x', entriesInList(humanBones(extensions, 'VRM')), nodeCount)
  );
}

function humanBones(extensions: unknown, name: string): unknown {
  return memberOf(memberOf(memberOf(extensions, name), 'humanoid'), 'humanBones');
}

/** VRM 1.0, `humanoid.md`: an object with a member a bone. Only known members are read. */
function entriesByName(bones: unknown): Entry[] {
  return HUMAN_BONES['1.0'].map((bone) => {
    return { bone, node: memberOf(memberOf(bones, bone), 'node') };
  });
}

/** VRM 0.x, `README.md`, Model's bone mapping: a list in any order, and of any length. */
function* entriesInList(bones: unknown): Generator<Entry> {
  if (!Array.isArray(bones)) return;
  for (const entry of bones as readonly unknown[])
    yield { bone: memberOf(entry, 'bone'), node: memberOf(entry, 'node') };
}

/**
 * Keeps what names one node for one bone. A bone with two nodes, or a node that is two bones, does
 * not say which is meant (VRM 1.0, List of humanoid bones: "Humanoid bones must be unique in VRM").
 */
function mapping(
  version: VrmVersion,
  entries: Iterable<Entry>,
  nodeCount: number,
): GltfHumanoid | null {
  const boneNamed = new Map<unknown, HumanBone>(HUMAN_BONES[version].map((bone) => [bone, bone]));
  const nodeOf = new Map<HumanBone, number | null>();
  const boneOf = new Map<number, HumanBone | null>();
  for (const { bone: name, node } of entries) {
    const bone = boneNamed.get(name);
    if (bone === undefined || typeof node !== 'number' || !Number.isInteger(node)) continue;
    if (node < 0 || node >= nodeCount) continue;
    note(nodeOf, bone, node);
    note(boneOf, node, bone);
  }
  const nodes = new Map<HumanBone, number>();
  for (const [bone, node] of nodeOf)
    if (node !== null && boneOf.get(node) === bone) nodes.set(bone, node);
  return nodes.size === 0 ? null : { version, nodes };
}

/** Keeps the value of a key, and null from the second other one on. */
function note<K, V>(kept: Map<K, V | null>, key: K, value: V): void {
  const earlier = kept.get(key);
  kept.set(key, earlier === undefined || earlier === value ? value : null);
}
