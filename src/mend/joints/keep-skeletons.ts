import type { GltfJson } from '../json/gltf-json.js';

/**
 * Gives skins another `skeleton` where the one they name is no longer above all their joints: it must be
 * their closest common root, or a node above that (glTF 2.0, 3.7.3.2 and 5.28.2). Left out where joints
 * have no common root.
 */
export function keepSkeletons(json: GltfJson): void {
  const parents = parentsOf(json);
  for (const skin of json.skins ?? []) {
    if (skin.skeleton === undefined) continue;
    const common = lineAboveAll(parents, skin.joints);
    if (common.includes(skin.skeleton)) continue;
    const [closest] = common;
    if (closest === undefined) delete skin.skeleton;
    else skin.skeleton = closest;
  }
}

export function parentsOf({ nodes = [] }: GltfJson): Map<number, number> {
  return new Map(
    nodes.flatMap(({ children = [] }, node) => children.map((child) => [child, node])),
  );
}

/** The nodes at or above all of some, the lowest first; none where nothing is above them all. */
export function lineAboveAll(
  parents: ReadonlyMap<number, number>,
  nodes: readonly number[],
): number[] {
  const lines = nodes.map((node) => {
    const line = new Set<number>();
    for (let at: number | undefined = node; at !== undefined; at = parents.get(at)) line.add(at);
    return line;
  });
  return [...(lines[0] ?? [])].filter((node) => lines.every((line) => line.has(node)));
}
