import type { SkinnedPart } from '../../rig/types.js';
import { type Facts, fact } from '../facts.js';
import { type MeshNet, meshNet } from './mesh-net.js';
import { rowsOf } from './rows.js';

/** Vertices that one joint moves by 1 % or more, joined by mesh edges. */
export interface Island {
  /** As numbered over all parts (see `meshNet`), in order; those at one place are all listed. */
  readonly vertices: readonly number[];
  /** Different places among them: hard edges must not make an island larger. */
  readonly places: number;
}

/** A smaller weight is smoothing, not painting. */
export const PAINTED = 0.05;

/** Islands grow down to 1 %, as it is stored: what hangs together by so much is a gradient. */
const LEAST = 0.01 - 1e-5;

/** A place that the walk may enter, and one that it may not. */
const [FREE, OUTSIDE] = [-1, -2];

/**
 * The islands of a joint's skin, largest first. Edges join vertices of a triangle that the joint moves
 * by 1 % or more each; vertices at one place count as one, so neither seams nor the borders of
 * primitives part them. Vertices of no triangle belong to none.
 */
export function islandsOf(facts: Facts, joint: number): Island[] {
  const net = meshNet(facts);
  const { first, vertices } = movedVertices(facts);
  const moved = vertices.subarray(first[joint] ?? 0, first[joint + 1] ?? 0);
  // Typed arrays throughout: maps of vertices cost ten times as much on a dense mesh.
  const island = outside(facts);
  for (const vertex of moved) {
    const place = net.places[vertex] ?? vertex;
    // A vertex of no triangle is not drawn, whoever moves it.
    if ((net.first[place] ?? 0) < (net.first[place + 1] ?? 0)) island[place] = FREE;
  }
  const islands: { vertices: number[]; places: number }[] = [];
  for (const vertex of moved) {
    const place = net.places[vertex] ?? vertex;
    if (island[place] === FREE)
      islands.push({ vertices: [], places: flood(net, place, island, islands.length) });
    islands[island[place] ?? OUTSIDE]?.vertices.push(vertex);
  }
  for (const vertex of moved) island[net.places[vertex] ?? vertex] = OUTSIDE;
  // Among equals the one with the first vertex, so that the order is stable.
  return islands.sort((a, b) => b.places - a.places || (a.vertices[0] ?? 0) - (b.vertices[0] ?? 0));
}

/** A number for each place, none in an island yet: one table for all joints, each of which clears it again. */
const outside = fact((facts) => new Int32Array(meshNet(facts).places.length).fill(OUTSIDE));

/** Whether an island is all of the piece of mesh it lies on. */
export function isWholePiece(facts: Facts, { vertices, places }: Island): boolean {
  const start = meshNet(facts).places[vertices[0] ?? -1];
  if (start === undefined) return false;
  const { piece, sizes } = pieces(facts);
  return sizes[piece[start] ?? -1] === places;
}

/** The piece of mesh that each place lies on, and how many places each piece has. */
const pieces = fact((facts): { piece: Int32Array; sizes: readonly number[] } => {
  const net = meshNet(facts);
  const piece = new Int32Array(net.places.length).fill(FREE);
  const sizes: number[] = [];
  for (const place of net.places)
    if (piece[place] === FREE) sizes.push(flood(net, place, piece, sizes.length));
  return { piece, sizes };
});

/** Walks from `start` over triangles through all free places, numbers them and counts them. */
function flood(net: MeshNet, start: number, island: Int32Array, number: number): number {
  const { first, triangles, corners } = net;
  const found = [start];
  island[start] = number;
  for (let next = 0; next < found.length; next++) {
    const place = found[next] ?? 0;
    for (let k = first[place] ?? 0; k < (first[place + 1] ?? 0); k++) {
      const triangle = 3 * (triangles[k] ?? 0);
      for (let i = triangle; i < triangle + 3; i++) {
        const other = corners[i] ?? 0;
        if (island[other] !== FREE) continue;
        island[other] = number;
        found.push(other);
      }
    }
  }
  return found.length;
}

/** The vertices that each joint moves by 1 % or more, and where those of each joint begin. */
const movedVertices = fact((facts): { first: Int32Array; vertices: Int32Array } => {
  const { parts, skins, joints } = facts.rig;
  const { offsets } = meshNet(facts);
  const most = parts.reduce((sum, part) => sum + part.influences * part.vertexCount, 0);
  const moved = { joint: new Int32Array(most), vertex: new Int32Array(most), count: 0 };
  for (const [index, part] of parts.entries())
    addMoved(part, skins[part.skin]?.jointOfSlot ?? new Int32Array(0), offsets[index] ?? 0, moved);
  const { first, order } = rowsOf(moved.joint.subarray(0, moved.count), joints.count);
  for (let k = 0; k < order.length; k++) order[k] = moved.vertex[order[k] ?? 0] ?? 0;
  return { first, vertices: order };
});

/** Adds what the joints of a part move, a joint once a vertex. There is room past the last. */
function addMoved(
  { influences, slots, weights, vertexCount }: SkinnedPart,
  jointOfSlot: Int32Array,
  offset: number,
  moved: { joint: Int32Array; vertex: Int32Array; count: number },
): void {
  for (let k = 0; k < influences * vertexCount; k++) {
    const slot = slots[k] ?? 0;
    if (!((weights[k] ?? 0) >= LEAST) || slot >= jointOfSlot.length) continue;
    let again = false;
    for (let other = k - (k % influences); other < k; other++)
      again ||= slots[other] === slot && (weights[other] ?? 0) >= LEAST;
    if (again) continue;
    moved.joint[moved.count] = jointOfSlot[slot] ?? 0;
    moved.vertex[moved.count++] = offset + Math.floor(k / influences);
  }
}
