import { groupBy } from '../../rig/group-by.js';
import type { Rig, RigModel, SkinnedPart } from '../../rig/types.js';
import type { Editable, Values } from '../file/editable.js';
import type { AccessorUser } from '../json/accessor-users.js';
import type { Influences, WantedWeights } from './vertex-weights.js';

/** Primitives that read the very same places, joints and weights: what is mended on one is on all. */
export interface WeightGroup {
  /** One for each skin that moves them. */
  readonly parts: readonly PartOfRig[];
  /** Every part that reads them. */
  readonly readers: readonly SkinnedPart[];
  readonly vertexCount: number;
  /** Every JOINTS_n with its WEIGHTS_n, as stored; copies. */
  readonly sets: readonly { readonly joints: VertexValues; readonly weights: VertexValues }[];
  /** What weights sum to: 1, or all steps of an integer; null where sets are stored in two ways. */
  readonly full: WantedWeights['full'] | null;
}

export interface PartOfRig {
  readonly rig: Rig;
  readonly part: SkinnedPart;
}

/** Four numbers a vertex, and every place that reads them. */
interface VertexValues {
  readonly users: readonly AccessorUser[];
  readonly values: Values;
}

/** All groups of an asset, in the order of its rigs and parts. */
export function weightGroups(edit: Editable, { rigs }: RigModel): WeightGroup[] {
  const all = rigs
    .flatMap((rig) => rig.parts.map((part) => ({ rig, part })))
    .filter(({ part }) => part.influences > 0);
  return [...groupBy(all, ({ part }) => verticesOf(edit, part)).values()].flatMap(
    (parts) => groupOf(edit, parts) ?? [],
  );
}

/** The part of a group that has morph targets, in which other weights may show that do not otherwise. */
export function morphedPart(edit: Editable, { parts }: WeightGroup): SkinnedPart | undefined {
  return parts.find(({ part: { mesh, primitive } }) => {
    const { targets } = edit.json.meshes?.[mesh]?.primitives[primitive] ?? {};
    return (targets ?? []).length > 0;
  })?.part;
}

/** The accessors that make up a part's vertices. */
function verticesOf(edit: Editable, { mesh, primitive, influences }: SkinnedPart): string {
  const { attributes = {} } = edit.json.meshes?.[mesh]?.primitives[primitive] ?? {};
  const sets = Array.from({ length: influences / 4 }, (_, set) => [
    `JOINTS_${set}`,
    `WEIGHTS_${set}`,
  ]);
  return ['POSITION', ...sets.flat()].map((name) => `${name}:${attributes[name]}`).join(' ');
}

function groupOf(edit: Editable, all: readonly PartOfRig[]): WeightGroup | null {
  const first = all[0]?.part;
  if (first === undefined) return null;
  // A mesh that two nodes show is one primitive, and two primitives of one skin move alike.
  const primitives = distinct(all, ({ part }) => `${part.mesh} ${part.primitive}`);
  const read = (name: string): VertexValues | null => {
    const users = primitives.map(
      ({ part: { mesh, primitive } }) => ({ kind: 'attribute', mesh, primitive, name }) as const,
    );
    const stored = users[0] === undefined ? null : edit.read(users[0]);
    return stored === null ? null : { users, values: stored.slice() };
  };
  const sets: WeightGroup['sets'][number][] = [];
  for (let set = 0; set < first.influences / 4; set++) {
    const [joints, weights] = [read(`JOINTS_${set}`), read(`WEIGHTS_${set}`)];
    if (joints === null || weights === null) return null;
    sets.push({ joints, weights });
  }
  const [full = null, ...others] = new Set(sets.map(({ weights }) => fullOf(weights.values)));
  return {
    parts: distinct(all, ({ rig, part }) => `${rig.index} ${part.skin}`),
    readers: all.map(({ part }) => part),
    vertexCount: first.vertexCount,
    sets,
    full: others.length === 0 ? full : null,
  };
}

/** The first of each key, in the order in which the keys last occur. */
function distinct(all: readonly PartOfRig[], keyOf: (part: PartOfRig) => string): PartOfRig[] {
  return [...new Map([...all].reverse().map((part) => [keyOf(part), part])).values()].reverse();
}

function fullOf(values: Values): WantedWeights['full'] {
  if (values instanceof Float32Array) return 1;
  return values instanceof Uint8Array ? 255 : 65535;
}

/** One vertex's influences that have weight, of all sets; shares of 1 where these are stored in two ways. */
export function influencesOf({ sets, full }: WeightGroup, vertex: number): Influences {
  const found: Influences[number][] = [];
  for (const { joints, weights } of sets) {
    const whole = full === null ? fullOf(weights.values) : 1;
    for (let k = 4 * vertex; k < 4 * vertex + 4; k++) {
      const weight = (weights.values[k] ?? 0) / whole;
      if (weight !== 0) found.push({ slot: joints.values[k] ?? 0, weight });
    }
  }
  return found;
}

/**
 * Gives one vertex other influences, from the first set on, so that a reader of one set alone gets
 * most. Joints without weight are 0 (glTF 2.0, 3.7.3.3: "unused joint values SHOULD be set to zero").
 */
export function setInfluences({ sets }: WeightGroup, vertex: number, list: Influences): void {
  sets.forEach(({ joints, weights }, set) => {
    for (let k = 0; k < 4; k++) {
      const { slot, weight } = list[4 * set + k] ?? { slot: 0, weight: 0 };
      joints.values[4 * vertex + k] = slot;
      weights.values[4 * vertex + k] = weight;
    }
  });
}

/** Stores what was set, each accessor once for all that read it. */
export function storeGroup(edit: Editable, { sets }: WeightGroup): void {
  for (const { users, values } of sets.flatMap(({ joints, weights }) => [joints, weights]))
    edit.writeAll(users, values);
}
