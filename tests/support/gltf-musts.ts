import { ACCESSORS } from './gltf-musts/accessors.js';
import { ANIMATIONS } from './gltf-musts/animations.js';
import { CONTAINER } from './gltf-musts/container.js';
import { DOCUMENT } from './gltf-musts/document.js';
import { MESHES } from './gltf-musts/meshes.js';
import type { Must } from './gltf-musts/must.js';
import { NODES } from './gltf-musts/nodes.js';
import { SKINS } from './gltf-musts/skins.js';
import type { WholeFile } from './gltf-musts/whole-file.js';

/**
 * What the Khronos glTF 2.0 Specification asks of a file, as far as a mend could break it: each with
 * its section and sentence, and held against the bytes by code of its own.
 */
export const MUSTS: readonly Must[] = [
  ...CONTAINER,
  ...DOCUMENT,
  ...ACCESSORS,
  ...MESHES,
  ...SKINS,
  ...NODES,
  ...ANIMATIONS,
];

/** The musts that a file breaks, by where: ids in the order above. */
export function breachesOf(file: WholeFile): Map<string, readonly string[]> {
  return new Map(
    MUSTS.flatMap(({ id, breaches }) => {
      const places = breaches(file);
      return places.length === 0 ? [] : [[id, places] as const];
    }),
  );
}
