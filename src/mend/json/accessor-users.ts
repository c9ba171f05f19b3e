import type { GltfJson } from './gltf-json.js';
import { eachMember } from './members.js';
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

/** The object in which a user names its accessor, and by which key. */
function memberOfUser(
  { animations, skins, meshes }: GltfJson,
  user: AccessorUser,
): readonly [holder: Naming[0] | undefined, key: string] {
  switch (user.kind) {
    case 'output':
      return [animations?.[user.animation]?.samplers[user.sampler], 'output'];
    case 'inverse bind':
      return [skins?.[user.skin], 'inverseBindMatrices'];
    case 'attribute': {
      const { attributes, targets } = meshes?.[user.mesh]?.primitives[user.primitive] ?? {};
      return [user.target === undefined ? attributes : targets?.[user.target], user.name];
    }
  }
}

/** The accessor that a user names; null where it names none. */
export function usedAccessor(json: GltfJson, user: AccessorUser): number | null {
  const [holder, key] = memberOfUser(json, user);
  const accessor = holder?.[key];
  return typeof accessor === 'number' ? accessor : null;
}

export function pointAt(json: GltfJson, user: AccessorUser, accessor: number): void {
  const [holder, key] = memberOfUser(json, user);
  if (holder !== undefined) holder[key] = accessor;
}

/** Every object that names an accessor, and by which key. Extensions are left out. */
function* naming({ meshes, skins, animations }: GltfJson): Generator<Naming> {
  for (const primitive of (meshes ?? []).flatMap(({ primitives }) => primitives)) {
    yield [primitive, 'indices'];
    for (const names of [primitive.attributes, ...(primitive.targets ?? [])])
      for (const name of Object.keys(names)) yield [names, name];
  }
  for (const skin of skins ?? []) yield [skin, 'inverseBindMatrices'];
  for (const sampler of (animations ?? []).flatMap(({ samplers }) => samplers)) {
    yield [sampler, 'input'];
    yield [sampler, 'output'];
  }
}

type Naming = readonly [holder: Record<string, unknown>, key: string];

/** Makes all users of one accessor name another, except extensions: they name none that a mend added. */
export function renumber(json: GltfJson, from: number, to: number): void {
  for (const [holder, key] of naming(json)) if (holder[key] === from) holder[key] = to;
}

/**
 * How many places name each accessor. Extensions name accessors by keys of their own, so any number
 * below `extensions` counts, except in extensions that give the places of packed bytes or that are
 * known to name no accessor.
 */
export function countUsers(json: GltfJson): number[] {
  const { accessors = [], ...rest } = json;
  const counts = accessors.map(() => 0);
  const count = (accessor: unknown): void => {
    if (typeof accessor === 'number' && counts[accessor] !== undefined) counts[accessor]++;
  };
  for (const [holder, key] of naming(json)) count(holder[key]);
  eachMember(
    rest,
    (key) => isPacking(key) || namesNoData(key),
    (_, value, isInside) => {
      if (isInside) count(value);
    },
  );
  return counts;
}
