import type { GltfNode, GltfSkin } from '../../fixtures/kit/gltf-json.js';
import type { RigModel } from '../../src/rig/types.js';
import { modelOf } from './facts-of.js';

/** The rigs of an asset that has nodes and skins and nothing else: no mesh, no matrices. */
export function modelOfNodes(
  nodes: readonly GltfNode[],
  skins: readonly GltfSkin[],
): Promise<RigModel> {
  const json = { asset: { version: '2.0' }, nodes, skins };
  return modelOf(new TextEncoder().encode(JSON.stringify(json)));
}
