import { mat4At } from '../rig/mat4.js';
import type { Rig } from '../rig/types.js';
import type { RigScene } from './scene.js';

/** The nodes of a rig as pictures need them, and where each is among them. */
export function sceneSkeleton(rig: Rig) {
  const { nodes, joints } = rig;
  const order = shownNodes(rig);
  const placeOf = new Map(order.map((node, place) => [node, place]));
  /** Index of a node of the file among those of the scene, -1 for one that is not shown. */
  const place = (node = -1): number => placeOf.get(node) ?? -1;
  const skeleton: Pick<RigScene, 'nodes' | 'jointNodes' | 'jointParents'> = {
    nodes: order.map((node) => ({
      name: nodes.names[node] ?? '',
      parent: place(nodes.parent[node]),
      joint: joints.ofNode[node] ?? -1,
      local: [...mat4At(nodes.local, node)],
    })),
    jointNodes: [...joints.node].map(place),
    jointParents: [...joints.parent],
  };
  return { skeleton, place };
}

/** Nodes that pose a joint: joints, what lies between them, and what is above. Parents first. */
function shownNodes({ nodes, joints }: Rig): number[] {
  const shown = new Set<number>();
  for (const joint of joints.node)
    for (let node = joint; node !== -1 && !shown.has(node); node = nodes.parent[node] ?? -1)
      shown.add(node);
  return [...nodes.order].filter((node) => shown.has(node));
}
