import { memberOf } from '../../asset/narrow.js';
import { KNOWN_EXTENSIONS, namedNodes } from '../carry/named-nodes.js';
import type { GltfJson } from '../json/gltf-json.js';

/** Parts of a file whose extensions refer to no node. */
const WITHOUT_NODES =
  /^(accessors|buffers|bufferViews|cameras|images|materials|samplers|textures)$/;

/**
 * What extensions may refer to by number or by name: the numbers and words below any key `extensions`, and
 * the words below `extras`, however deep. The keys of an unknown extension mean nothing here, so that
 * anything counts; known ones call no node by its name, and their references are known.
 */
export function references(json: GltfJson): {
  /** Whole numbers, and the indices of pointers such as `/nodes/12/rotation`. */
  readonly numbers: ReadonlySet<number>;
  readonly words: ReadonlySet<string>;
} {
  const numbers = new Set<number>(namedNodes(json).all);
  const words = new Set<string>();
  const tops = Object.entries(json).filter(([key]) => !WITHOUT_NODES.test(key));
  const stack: { value: unknown; inside: boolean; extras: boolean }[] = [
    { value: Object.fromEntries(tops), inside: false, extras: false },
  ];
  for (let found = stack.pop(); found !== undefined; found = stack.pop()) {
    const { value, inside, extras } = found;
    if (typeof value === 'number' && inside) numbers.add(value);
    if (typeof value === 'string' && (inside || extras)) {
      words.add(value);
      const pointed = /^\/nodes\/(\d+)(\/|$)/.exec(value)?.[1];
      if (pointed !== undefined) numbers.add(Number(pointed));
    }
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value)) {
      const below = {
        inside: inside || key === 'extensions',
        extras: extras || key === 'extras',
      };
      if (!KNOWN_EXTENSIONS.includes(key)) stack.push({ value: inner, ...below });
      else for (const part of unknownIn(inner)) stack.push({ value: part, inside: true, extras });
    }
  }
  return { numbers, words };
}

/** Other extensions, and extras, within a known one. */
function unknownIn(extension: unknown): Record<string, unknown>[] {
  const found: Record<string, unknown>[] = [];
  const stack: unknown[] = [extension];
  for (let value = stack.pop(); value !== undefined; value = stack.pop()) {
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value))
      if (key === 'extensions' || key === 'extras') found.push({ [key]: inner });
      else if (inner !== undefined) stack.push(inner);
  }
  return found;
}

/** Nodes that a skin names as its skeleton. */
export function skeletons(json: GltfJson): Set<number> {
  const named = (json.skins ?? []).map((skin) => memberOf(skin, 'skeleton'));
  return new Set(named.filter((node) => typeof node === 'number'));
}

/** Every mesh that a node shows with a skin, and which; each once. */
export function skinnedMeshes(json: GltfJson): { mesh: number; skin: number }[] {
  const found = new Map<string, { mesh: number; skin: number }>();
  for (const node of json.nodes ?? []) {
    const [mesh, skin] = [memberOf(node, 'mesh'), memberOf(node, 'skin')];
    if (typeof mesh === 'number' && typeof skin === 'number')
      found.set(`${mesh} ${skin}`, { mesh, skin });
  }
  return [...found.values()];
}
