import { memberOf } from '../../asset/narrow.js';
import type { GltfJson } from '../json/gltf-json.js';

/** Extensions whose every reference to a node is known here. None speaks of a node by its name. */
export const KNOWN_EXTENSIONS: readonly string[] = [
  'VRMC_springBone',
  'VRMC_springBone_extended_collider',
  'VRMC_node_constraint',
  'VRMC_vrm',
  'VRM',
];

/** Members that hold the index of a node, or a list of such. */
const NODE_KEYS: readonly string[] = ['node', 'source', 'center', 'firstPersonBone', 'bones'];

/** Parts that name nodes for the meshes they show, wherever those stand. */
const SHOWING: readonly string[] = ['meshAnnotations', 'expressions', 'blendShapeMaster'];

/** Nodes that known extensions name. */
export interface NamedNodes {
  readonly all: ReadonlySet<number>;
  /** Those whose place or frame is what the extension needs. */
  readonly placed: ReadonlySet<number>;
}

export function namedNodes(json: GltfJson): NamedNodes {
  const [all, placed] = [new Set<number>(), new Set<number>()];
  const tops = KNOWN_EXTENSIONS.map((name) => memberOf(memberOf(json, 'extensions'), name));
  const stack = tops.map((value) => ({ value, shows: false }));
  json.nodes?.forEach((node, index) => {
    const value = memberOf(memberOf(node, 'extensions'), 'VRMC_node_constraint');
    if (value === undefined) return;
    all.add(index);
    placed.add(index);
    stack.push({ value, shows: false });
  });
  for (let item = stack.pop(); item !== undefined; item = stack.pop()) {
    const { value, shows } = item;
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value)) {
      if (NODE_KEYS.includes(key))
        for (const index of [inner].flat())
          if (typeof index === 'number') {
            all.add(index);
            if (!shows) placed.add(index);
          }
      stack.push({ value: inner, shows: shows || SHOWING.includes(key) });
    }
  }
  return { all, placed };
}
