import type { GltfJson } from './gltf-json.js';
import { isPacking, namesNoData } from './packing.js';

/** One place in a file that names an accessor. */
export type AccessorUser =
  | { readonly kind: 'output'; readonly animation: number; readonly sampler: number }
  | { readonly kind: 'inverse bind'; readonly skin: number }
  | {
      readonly kind: 'attribute';
      readonly mesh: number;
      readonly primitive: number;
      readonly name: string;
      /** Of this morph target instead of the primitive itself. */
      readonly target?: number;
    };

/** The keys of a clip. */
export type OutputUser = Extract<AccessorUser, { kind: 'output' }>;

/** The accessor that a user names; null where it names none. */
export function usedAccessor(json: GltfJson, user: AccessorUser): number | null {
  switch (user.kind) {
    case 'output':
      return json.animations?.[user.animation]?.samplers[user.sampler]?.output ?? null;
    case 'inverse bind':
      return json.skins?.[user.skin]?.inverseBindMatrices ?? null;
    case 'attribute':
      return attributesOf(json, user)?.[user.name] ?? null;
  }
}

function attributesOf(
  json: GltfJson,
  { mesh, primitive, target }: Extract<AccessorUser, { kind: 'attribute' }>,
): Record<string, number> | undefined {
  const own = json.meshes?.[mesh]?.primitives[primitive];
  return target === undefined ? own?.attributes : own?.targets?.[target];
}

/** Makes a user name another accessor. */
export function pointAt(json: GltfJson, user: AccessorUser, accessor: number): void {
  switch (user.kind) {
    case 'output': {
      const sampler = json.animations?.[user.animation]?.samplers[user.sampler];
      if (sampler !== undefined) sampler.output = accessor;
      break;
    }
    case 'inverse bind': {
      const skin = json.skins?.[user.skin];
      if (skin !== undefined) skin.inverseBindMatrices = accessor;
      break;
    }
    case 'attribute': {
      const attributes = attributesOf(json, user);
      if (attributes !== undefined) attributes[user.name] = accessor;
      break;
    }
  }
}

/** Makes all that name one accessor name another, but for extensions: those name none that a mend added. */
export function renumber({ meshes, skins, animations }: GltfJson, from: number, to: number): void {
  const inEach = (names: Record<string, number>): void => {
    for (const [name, accessor] of Object.entries(names)) if (accessor === from) names[name] = to;
  };
  for (const { primitives } of meshes ?? [])
    for (const primitive of primitives) {
      if (primitive.indices === from) primitive.indices = to;
      for (const names of [primitive.attributes, ...(primitive.targets ?? [])]) inEach(names);
    }
  for (const skin of skins ?? [])
    if (skin.inverseBindMatrices === from) skin.inverseBindMatrices = to;
  for (const { samplers } of animations ?? [])
    for (const sampler of samplers) {
      if (sampler.input === from) sampler.input = to;
      if (sampler.output === from) sampler.output = to;
    }
}

/**
 * How many places name each accessor. Extensions name accessors by keys of their own, so that any
 * number under `extensions` counts, but for those that only tell where packed bytes stand and for
 * extensions that are known to name none.
 */
export function countUsers({ accessors, meshes, skins, animations, ...rest }: GltfJson): number[] {
  const counts = (accessors ?? []).map(() => 0);
  const count = (accessor: unknown): void => {
    if (typeof accessor === 'number' && counts[accessor] !== undefined) counts[accessor]++;
  };
  for (const { primitives } of meshes ?? [])
    for (const { attributes, indices, targets } of primitives) {
      for (const accessor of Object.values(attributes)) count(accessor);
      count(indices);
      for (const target of targets ?? [])
        for (const accessor of Object.values(target)) count(accessor);
    }
  for (const { inverseBindMatrices } of skins ?? []) count(inverseBindMatrices);
  for (const { samplers } of animations ?? [])
    for (const { input, output } of samplers) {
      count(input);
      count(output);
    }
  countNumbersInExtensions({ meshes, skins, animations, ...rest }, count);
  return counts;
}

/** Calls `count` for each number below a key `extensions`, however deep. */
function countNumbersInExtensions(value: unknown, count: (found: number) => void): void {
  const stack: { value: unknown; inside: boolean }[] = [{ value, inside: false }];
  for (let item = stack.pop(); item !== undefined; item = stack.pop()) {
    if (typeof item.value === 'number' && item.inside) count(item.value);
    if (typeof item.value !== 'object' || item.value === null) continue;
    for (const [key, inner] of Object.entries(item.value))
      if (!isPacking(key) && !namesNoData(key))
        stack.push({ value: inner, inside: item.inside || key === 'extensions' });
  }
}
