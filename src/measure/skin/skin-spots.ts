import { groupBy } from '../../rig/group-by.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { type Island, isWholePiece, PAINTED } from '../geometry/islands.js';
import { meshNet, whereIs } from '../geometry/mesh-net.js';
import { distanceToBones, type Reach, reaches } from './skin-reach.js';

/** An island of a joint's skin that is where it should not be. */
export interface StrayIsland {
  readonly joint: number;
  /** Its painted vertices, as numbered over all parts (see `meshNet`), in order. */
  readonly vertices: readonly number[];
  /** How far its nearest vertex is from the joint's bones, or past the midline. World units. */
  readonly away: number;
  /** The joint whose bone is nearest to it; its partner, for skin past the midline. */
  readonly nearest: number;
}

/** The vertices of an island that the joint moves by over 5 %: without the fringe of the brush. */
export function painted(facts: Facts, joint: number, { vertices }: Island): number[] {
  return vertices.filter((vertex) => weightOf(facts, joint, vertex) > PAINTED);
}

/**
 * The island at the joint's own bones: the one with the vertex nearest to them, of equals the
 * larger. Not the largest: a brush can slip over more skin than a joint has of its own.
 */
export function mainPatch(
  facts: Facts,
  joint: number,
  list: readonly Island[],
): Island | undefined {
  const { positions } = meshNet(facts);
  let [main, least]: [Island | undefined, number] = [list[0], Infinity];
  if (list.length < 2) return main;
  for (const island of list) {
    for (const vertex of island.vertices) {
      const gap = distanceToBones(facts, joint, vec3At(positions, vertex), least);
      if (gap < least) [main, least] = [island, gap];
    }
  }
  return main;
}

/** With a larger weight, a joint moves a vertex more than all others together. */
const MOST = 0.5;

/** Whether an island is a piece of its own that the joint moves most: a prop, a plume. */
export function isProp(facts: Facts, joint: number, island: Island): boolean {
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

/** The joints of which a box raises a suspicion, in order; a joint can have several boxes. */
export function suspects(facts: Facts, isSuspect: (box: Reach) => boolean): number[] {
  return inOrder(reaches(facts).filter(isSuspect));
}

function inOrder(list: readonly { readonly joint: number }[]): number[] {
  return [...new Set(list.map(({ joint }) => joint))].sort((a, b) => a - b);
}

/** The islands of one joint as one: who paints by mistake does it in several spots and meshes. */
export interface StraySpots {
  readonly joint: number;
  readonly spots: number;
  readonly vertices: number;
  /** The parts they are on, the one with most first, and their vertices as numbered there. */
  readonly parts: readonly { readonly part: number; readonly vertices: readonly number[] }[];
  /** Those of the nearest island. */
  readonly away: number;
  readonly nearest: number;
  /** The place of the first vertex of the first part; bind pose, world space. */
  readonly at: Vec3;
  /** The largest weight that the joint has in them, 0 to 1. */
  readonly top: number;
}

/** Gathers islands by joint, in order; distance and neighbour are those of the nearest. */
export function gatherSpots(facts: Facts, islands: readonly StrayIsland[]): StraySpots[] {
  // Of a sound rig there are none, and nothing else may have made the net yet.
  if (islands.length === 0) return [];
  const { positions, offsets } = meshNet(facts);
  const byJoint = groupBy(islands, (island) => island.joint);
  return inOrder(islands).flatMap((joint) => {
    const spots = byJoint.get(joint) ?? [];
    const [nearest] = [...spots].sort((a, b) => a.away - b.away);
    if (nearest === undefined) return [];
    const vertices = spots.flatMap((island) => island.vertices);
    const parts = byPart(facts, vertices);
    const first = (offsets[parts[0]?.part ?? 0] ?? 0) + (parts[0]?.vertices[0] ?? 0);
    return [
      {
        joint,
        spots: spots.length,
        vertices: parts.reduce((sum, part) => sum + part.vertices.length, 0),
        parts,
        away: nearest.away,
        nearest: nearest.nearest,
        at: vec3At(positions, first),
        top: vertices.reduce((top, vertex) => Math.max(top, weightOf(facts, joint, vertex)), 0),
      },
    ];
  });
}

/** Vertices by the part they belong to, each once, the part with most of them first. */
function byPart(facts: Facts, vertices: readonly number[]): StraySpots['parts'] {
  const placed = vertices
    .map((vertex) => whereIs(facts, vertex))
    .filter(({ part }) => facts.rig.parts[part]?.sharesVertices !== true);
  return [...groupBy(placed, ({ part }) => part)]
    .map(([part, list]) => ({
      part,
      vertices: list.map(({ vertex }) => vertex).sort((a, b) => a - b),
    }))
    .sort((a, b) => b.vertices.length - a.vertices.length);
}
