import { radians } from '../../rig/vec3.js';
import { type BoxList, reachIn } from './proof-boxes.js';
import type { PartMaps } from './proof-maps.js';
import type { Movers, PartMovers, PartPair } from './proof-movers.js';
import type { MoverPair } from './proof-pairs.js';
import { frobenius, turnOf } from './proof-turns.js';

/**
 * What no pose changes of how far the vertices of a part can be apart that a mend gave another shape. With X
 * and Y the matrices of a mover before and after, C the map between the two as stored, A the map of a vertex
 * (`PartMaps`), x its weights, p its place in any pose and r what is left of that, the vertex is apart by
 *
 *     sum of x (X - Y C) p + sum of x (Y - Z) (C - A) p + Z (sum of x (C - A)) p - (sum of x Y) r
 *
 * for any matrix Z; for that of one of its own movers, |Y - Z| is the spread of two movers. So it is apart by
 * no more than its weights times the most of its pairs of movers of |(X - Y C) p|, of the spread times `bend`,
 * and of what any Y stretches by times `left`. Of a direction, where p is of length 1, the same holds for
 * what two blended matrices take it apart; what is left of it is its `blur`.
 */
export interface Slack {
  readonly places: SlackList;
  readonly directions: SlackList;
  readonly groups: readonly SlackGroup[];
}

/** Units of the mesh, or shares of a direction. */
interface SlackList {
  /** Of each vertex, the most that one of its movers' maps is apart from its own. */
  readonly bend: Float64Array;
  /** Of each vertex, all that has nothing to do with how its movers are posed against each other. */
  readonly left: Float64Array;
}

/** Vertices with the same pairs of movers. */
interface SlackGroup {
  /** Places in the list of pairs. */
  readonly pairs: readonly number[];
  readonly vertices: readonly number[];
}

/**
 * @param mapOf C of a mover: three rows, column by column.
 * @param boxes Of each vertex, where it is before: of several lists all count.
 */
export function slackOf(
  { before, after }: PartPair,
  { maps, rest, blur }: PartMaps,
  { odd, pairs }: PartMovers,
  movers: Movers,
  mapOf: (mover: number) => Float64Array,
  boxes: readonly BoxList[],
): Slack {
  const count = before.vertexCount;
  const listOf = (): SlackList => ({
    bend: new Float64Array(count),
    left: new Float64Array(count),
  });
  const [places, directions] = [listOf(), listOf()];
  const isOdd = new Set(odd);
  const [apart, blended] = [new Float64Array(12), new Float64Array(12)];
  for (let vertex = 0; vertex < count; vertex++) {
    if (isOdd.has(vertex)) continue;
    const reach = (map: Float64Array): number =>
      boxes.reduce((most, list) => Math.max(most, reachIn(map, list, 6 * vertex, 1)), 0);
    blended.fill(0);
    let [bend, turn, sum] = [0, 0, 0];
    for (let k = before.influences * vertex; k < before.influences * (vertex + 1); k++) {
      const weight = before.weights[k] ?? 0;
      if (weight === 0) continue;
      const map = mapOf(movers.numberOf(before.slots[k] ?? 0, after.slots[k] ?? 0));
      for (let i = 0; i < 12; i++) {
        apart[i] = (map[i] ?? 0) - (maps[12 * vertex + i] ?? 0);
        blended[i] = (blended[i] ?? 0) + weight * (apart[i] ?? 0);
      }
      // Once NaN they stay so.
      bend = Math.max(reach(apart), bend);
      turn = Math.max(frobenius(apart), turn);
      sum += Math.abs(weight);
    }
    if (sum === 0) continue;
    places.bend[vertex] = bend;
    places.left[vertex] = (rest[vertex] ?? 0) + reach(blended) / sum;
    directions.bend[vertex] = turn;
    directions.left[vertex] = (blur[vertex] ?? 0) + frobenius(blended) / sum;
  }
  return { places, directions, groups: groupsOf(pairs) };
}

function groupsOf(pairs: readonly MoverPair[]): SlackGroup[] {
  const ofVertex: number[][] = [];
  for (const [at, { vertices }] of pairs.entries())
    for (const vertex of vertices) {
      ofVertex[vertex] ??= [];
      ofVertex[vertex].push(at);
    }
  const groups = new Map<string, { pairs: number[]; vertices: number[] }>();
  ofVertex.forEach((own, vertex) => {
    const key = own.join(' ');
    const group = groups.get(key) ?? { pairs: own, vertices: [] };
    groups.set(key, group);
    group.vertices.push(vertex);
  });
  return [...groups.values()];
}

/** What a pose makes of the pairs of movers, and of all movers. */
export interface PosedPairs {
  /** Of each pair, the most that one of its movers takes vertices apart, weights included: world units. */
  readonly shift: Float64Array;
  /** Of each pair, the most that its movers take a unit vector apart from each other afterwards. */
  readonly spread: Float64Array;
  /** Of each pair, the least that is left of a unit vector; null where directions are not asked for. */
  readonly shortest: Float64Array | null;
  /** The most that a mover takes a unit vector apart, and that any makes of it. */
  readonly apart: number;
  readonly stretch: number;
  /** Largest sum of a vertex's weights. */
  readonly sum: number;
}

/** What places are at most apart, world units, and directions, degrees. */
export interface Apart {
  readonly distance: number;
  readonly turn: number;
}

/** The most that bounds say, and the vertices of which they say too little. */
export interface Loose extends Apart {
  readonly places: readonly number[];
  readonly directions: readonly number[];
}

/** @param enough A bound up to this needs no closer look: world units and degrees. */
export function takeUp(
  { places, directions, groups }: Slack,
  { shift, spread, shortest, apart, stretch, sum }: PosedPairs,
  enough: Apart,
): Loose {
  const loose = { places: [] as number[], directions: [] as number[] };
  const steepest = enough.turn < 90 ? Math.sin(radians(enough.turn)) : ALMOST_ACROSS;
  let [distance, steep] = [0, 0];
  for (const { pairs, vertices } of groups) {
    let [moved, parted, least] = [0, 0, Infinity];
    for (const pair of pairs) {
      moved = Math.max(moved, shift[pair] ?? 0);
      parted = Math.max(parted, spread[pair] ?? 0);
      if (shortest !== null) least = Math.min(least, shortest[pair] ?? 0);
    }
    for (const vertex of vertices) {
      const bend = parted * (places.bend[vertex] ?? 0);
      const far = moved + sum * (bend + stretch * (places.left[vertex] ?? 0));
      if (far <= enough.distance) distance = Math.max(distance, far);
      else loose.places.push(vertex);
      if (shortest === null) continue;
      const turned = parted * (directions.bend[vertex] ?? 0);
      const sine = (apart + turned + stretch * (directions.left[vertex] ?? 0)) / least;
      if (sine <= steepest) steep = Math.max(steep, sine);
      else loose.directions.push(vertex);
    }
  }
  return { ...loose, distance, turn: turnOf(steep) };
}

/** A sine above this is no bound. */
const ALMOST_ACROSS = 1 - 1e-9;
