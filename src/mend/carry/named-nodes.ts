import type { GltfJson } from '../json/gltf-json.js';
import { extensionOf } from './carry-plan.js';

/** Extensions whose every reference to a node is known here. None refers to a node by its name. */
export const KNOWN_EXTENSIONS: readonly string[] = [
  'VRMC_springBone',
  'VRMC_springBone_extended_collider',
  'VRMC_node_constraint',
  'VRMC_vrm',
  'VRM',
];

/** Members with the index of a node, or a list of indices. */
const NODE_KEYS: readonly string[] = ['node', 'source', 'center', 'firstPersonBone', 'bones'];

/** Parts that name nodes for the meshes they show, wherever these are. */
const SHOWING: readonly string[] = ['meshAnnotations', 'expressions', 'blendShapeMaster'];

/** Nodes that known extensions name; `placed` are those whose place or frame the extension needs. */
export function namedNodes(json: GltfJson): Record<'all' | 'placed', ReadonlySet<number>> {
  const [shown, placed] = [new Set<number>(), new Set<number>()];
  const stack = KNOWN_EXTENSIONS.map((name) => ({ value: extensionOf(json, name), into: placed }));
  json.nodes?.forEach((node, index) => {
    const value = extensionOf(node, 'VRMC_node_constraint');
    if (value === undefined) return;
    placed.add(index);
    stack.push({ value, into: placed });
  });
  for (let part = stack.pop(); part !== undefined; part = stack.pop()) {
    const { value, into } = part;
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value)) {
      if (NODE_KEYS.includes(key))
        for (const index of [inner].flat()) if (typeof index === 'number') into.add(index);
      stack.push({ value: inner, into: SHOWING.includes(key) ? shown : into });
    }
  }
  return { all: new Set([...placed, ...shown]), placed };
}
