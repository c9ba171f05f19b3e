import { visible } from '../../report/visible.js';
import type { GltfJson } from './gltf-json.js';

/** Extensions of a node that do not depend on its place, or are carried along with its frame. */
const PLACELESS = ['KHR_node_visibility', 'VRMC_node_constraint'];

/**
 * Whether viewers ignore where a node stands, since a skin alone places its mesh (glTF 2.0, 3.7.3.3).
 * A primitive without weights may be drawn at its node all the same.
 */
export function isPlacedBySkin(json: GltfJson, node: number): boolean {
  const { mesh, skin } = json.nodes?.[node] ?? {};
  if (mesh === undefined || skin === undefined) return false;
  const { primitives = [] } = json.meshes?.[mesh] ?? {};
  return primitives.every(
    ({ attributes }) => attributes.JOINTS_0 !== undefined && attributes.WEIGHTS_0 !== undefined,
  );
}

/** What a node itself shows and would move with it, in a few words; null for nothing. */
export function contentOf(json: GltfJson, node: number): string | null {
  const { mesh, camera, extensions } = json.nodes?.[node] ?? {};
  if (camera !== undefined) return 'a camera';
  const extension = Object.keys(extensions ?? {}).find((name) => !PLACELESS.includes(name));
  if (extension === 'KHR_lights_punctual') return 'a light';
  if (extension !== undefined) return `data of ${visible(extension)}`;
  if (mesh === undefined || isPlacedBySkin(json, node)) return null;
  return 'a mesh that no skin moves';
}
