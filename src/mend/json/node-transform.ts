import type { NodeJson } from './gltf-json.js';

const USUAL = { translation: [0, 0, 0], rotation: [0, 0, 0, 1], scale: [1, 1, 1] };

/** Stores one part of a node's transform; what is at its default is left out (glTF 2.0, 5.25). */
export function setOrDrop(
  node: NodeJson,
  key: 'translation' | 'rotation' | 'scale',
  values: readonly number[],
): void {
  if (values.every((value, at) => value === USUAL[key][at])) delete node[key];
  else node[key] = values.map((value) => (value === 0 ? 0 : value));
}
