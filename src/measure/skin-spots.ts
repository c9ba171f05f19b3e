import { type Vec3, vec3At } from '../rig/vec3.js';
import type { Facts } from './facts.js';
import { type Island, isWholePiece } from './islands.js';
import { meshNet, whereIs } from './mesh-net.js';

/** An island of a joint's skin that lies where it should not. */
export interface StrayIsland {
  readonly joint: number;
  /** The part that has most of it. */
  readonly part: number;
  /** Its vertices in that part, in order. */
  readonly vertices: readonly number[];
  /** Where its first vertex stands; bind pose, world space. */
  readonly at: Vec3;
  /** How far the nearest of its vertices is: from the joint's bones, or past the midline. World units. */
  readonly away: number;
  /** The joint whose bone is nearest to it; its partner, for skin past the midline. */
  readonly nearest: number;
}

/** Makes the record of an island, as numbered in the part that has most of it. */
export function strayAt(
  facts: Facts,
  joint: number,
  island: Island,
  away: number,
  nearest: number,
): StrayIsland {
  const byPart = new Map<number, number[]>();
  for (const vertex of island.vertices) {
    const { part, vertex: own } = whereIs(facts, vertex);
    const list = byPart.get(part);
    if (list === undefined) byPart.set(part, [own]);
    else list.push(own);
  }
  const [[part, vertices] = [0, []]] = [...byPart].sort(([, a], [, b]) => b.length - a.length);
  const { positions, offsets } = meshNet(facts);
  const at = vec3At(positions, (offsets[part] ?? 0) + (vertices[0] ?? 0));
  return { joint, part, vertices, at, away, nearest };
}

/** A joint moves a vertex more than all others together with more than this share of its weight. */
const MOST = 0.5;

/** Whether an island is a piece of its own that the joint moves more than all others: a prop, a plume. */
export function isHungOn(facts: Facts, joint: number, island: Island): boolean {
  const most = island.vertices.every((vertex) => weightOf(facts, joint, vertex) > MOST);
  return most && isWholePiece(facts, island);
}

/** How much of a vertex, as numbered over all parts, the joint moves. */
export function weightOf(facts: Facts, joint: number, vertex: number): number {
  const at = whereIs(facts, vertex);
  const part = facts.rig.parts[at.part];
  const slot = part === undefined ? -1 : (facts.rig.skins[part.skin]?.slotOfJoint[joint] ?? -1);
  if (part === undefined || slot === -1) return 0;
  let sum = 0;
  for (let k = part.influences * at.vertex; k < part.influences * (at.vertex + 1); k++)
    if (part.slots[k] === slot && (part.weights[k] ?? 0) > 0) sum += part.weights[k] ?? 0;
  return sum;
}

/** Each once, in joint order: a joint can reach into several parts. */
export function inOrder(joints: readonly number[]): number[] {
  return [...new Set(joints)].sort((a, b) => a - b);
}

/** The islands of one joint on one part, told as one: who paints by mistake does it in several spots. */
export interface StraySpots extends StrayIsland {
  readonly spots: number;
}

/** Gathers islands by joint and part, in order; place, distance and neighbour are those of the nearest. */
export function gatherSpots(islands: readonly StrayIsland[]): StraySpots[] {
  const groups = new Map<string, StrayIsland[]>();
  for (const island of islands) {
    const key = `${island.joint}/${island.part}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [island]);
    else group.push(island);
  }
  return [...groups.values()].flatMap((group) => {
    const [nearest] = [...group].sort((a, b) => a.away - b.away);
    if (nearest === undefined) return [];
    const vertices = group.flatMap((island) => island.vertices).sort((a, b) => a - b);
    return [{ ...nearest, vertices, spots: group.length }];
  });
}
