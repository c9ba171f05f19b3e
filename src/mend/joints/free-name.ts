import type { GltfJson } from '../json/gltf-json.js';

/** A name that no node has: the one wanted, or that with the first number that is free. */
export function freeName({ nodes = [] }: GltfJson, wanted: string): string {
  const taken = new Set(nodes.map(({ name }) => name));
  let name = wanted;
  for (let number = 2; taken.has(name); number++) name = `${wanted}_${number}`;
  return name;
}
