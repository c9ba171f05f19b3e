import { memberOf } from '../../asset/narrow.js';
import { KNOWN_EXTENSIONS, namedNodes } from '../carry/named-nodes.js';
import type { GltfJson } from '../json/gltf-json.js';

/**
 * What extensions may speak of by number or by name. Their keys are their own, so that anything counts;
 * of those that are known, what they say is known too, and they call no node by its name.
 */
export interface References {
  /** Whole numbers, and the indices of pointers such as `/nodes/12/rotation`. */
  readonly numbers: ReadonlySet<number>;
  readonly words: ReadonlySet<string>;
}

/** Parts of a file whose extensions speak of no node. */
const WITHOUT_NODES: readonly string[] = [
  'accessors',
  'buffers',
  'bufferViews',
  'cameras',
  'images',
  'materials',
  'samplers',
  'textures',
];

/** All numbers and words below any key `extensions`, and the words below `extras`, however deep. */
export function references(json: GltfJson): References {
  const numbers = new Set<number>(namedNodes(json).all);
  const words = new Set<string>();
  const stack: { value: unknown; inside: boolean; extras: boolean }[] = Object.entries(json)
    .filter(([key]) => !WITHOUT_NODES.includes(key))
    .map(([key, value]) => ({ value, inside: key === 'extensions', extras: key === 'extras' }));
  for (let item = stack.pop(); item !== undefined; item = stack.pop()) {
    const { value, inside, extras } = item;
    if (typeof value === 'number' && inside) numbers.add(value);
    if (typeof value === 'string' && (inside || extras)) {
      words.add(value);
      const pointed = /^\/nodes\/(\d+)(\/|$)/.exec(value)?.[1];
      if (pointed !== undefined) numbers.add(Number(pointed));
    }
    if (typeof value !== 'object' || value === null) continue;
    for (const [key, inner] of Object.entries(value))
      if (KNOWN_EXTENSIONS.includes(key))
        stack.push(...unknownIn(inner).map((part) => ({ value: part, inside: true, extras })));
      else
        stack.push({
          value: inner,
          inside: inside || key === 'extensions',
          extras: extras || key === 'extras',
        });
  }
  return { numbers, words };
}

/** Other extensions, and extras, within a known one. */
function unknownIn(known: unknown): Record<string, unknown>[] {
  const found: Record<string, unknown>[] = [];
  const stack: unknown[] = [known];
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
