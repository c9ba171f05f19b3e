import { type Facts, fact } from '../facts.js';
import { type MeshNet, meshNet, type Place } from './mesh-net.js';

/** Vertices that one joint moves by 1 % or more, joined by mesh edges. */
export interface Island {
  /** Vertices as numbered over all parts (see `meshNet`), in order; those at one place are all listed. */
  readonly vertices: readonly number[];
  /** Different places among them: hard edges must not make an island larger. */
  readonly places: number;
}

/** A smaller weight is smoothing, not painting. */
export const PAINTED = 0.05;

/**
 * Islands grow down to this weight: what hangs together by so much was smoothed out, and is a gradient,
 * however far it goes.
 */
export const GRADIENT = 0.01;
/** As it is stored: 1 % in steps of 1/65535 or as a 32-bit float is a little less. */
const LEAST = GRADIENT - 1e-5;

/**
 * The islands of a joint's skin, largest first. Edges join vertices of a triangle that the joint moves
 * by 1 % or more each; vertices at the same place count as one, so neither seams nor the borders of
 * primitives part them. Vertices of no triangle belong to none.
 */
export function islandsOf(facts: Facts, joint: number): Island[] {
  const net = meshNet(facts);
  const moved = movedBy(facts, joint);
  // Typed arrays throughout: maps of vertices cost ten times as much on a dense mesh.
  const island = new Int32Array(net.places.length).fill(OUTSIDE);
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
  // Among equals the one with the first vertex, so that the order is stable.
  return islands.sort((a, b) => b.places - a.places || (a.vertices[0] ?? 0) - (b.vertices[0] ?? 0));
}

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

/** A place that the walk may enter, and one that it may not. */
const [FREE, OUTSIDE] = [-1, -2];

/** Walks from `start` over triangles through all free places, numbers them and counts them. */
function flood(
  { first, triangles, corners }: MeshNet,
  start: Place,
  island: Int32Array,
  number: number,
): number {
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

/** Vertices that a joint moves by 1 % or more, in order. */
function movedBy(facts: Facts, joint: number): Int32Array {
  const { first, vertices } = movings(facts);
  return vertices.subarray(first[joint] ?? 0, first[joint + 1] ?? 0);
}

/** The vertices of each joint, one joint after the other, and where each joint's begin. */
const movings = fact((facts): { first: Int32Array; vertices: Int32Array } => {
  const { count } = facts.rig.joints;
  const first = new Int32Array(count + 1);
  eachMoved(facts, (joint) => {
    first[joint + 1] = (first[joint + 1] ?? 0) + 1;
  });
  for (let joint = 0; joint < count; joint++)
    first[joint + 1] = (first[joint + 1] ?? 0) + (first[joint] ?? 0);
  const vertices = new Int32Array(first[count] ?? 0);
  const free = first.slice();
  eachMoved(facts, (joint, vertex) => {
    const at = free[joint] ?? 0;
    vertices[at] = vertex;
    free[joint] = at + 1;
  });
  return { first, vertices };
});

/** Calls back once for each joint that moves a vertex by 1 % or more, vertex by vertex. */
function eachMoved(facts: Facts, call: (joint: number, vertex: number) => void): void {
  const { rig } = facts;
  const { offsets } = meshNet(facts);
  rig.parts.forEach(({ skin, vertexCount, influences, slots, weights }, part) => {
    const jointOfSlot = rig.skins[skin]?.jointOfSlot;
    const isMoved = (k: number): boolean => (weights[k] ?? 0) >= LEAST;
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      const start = influences * vertex;
      for (let k = start; k < start + influences; k++) {
        const joint = jointOfSlot?.[slots[k] ?? 0];
        if (!isMoved(k) || joint === undefined) continue;
        let again = false;
        for (let other = start; other < k; other++)
          again ||= slots[other] === slots[k] && isMoved(other);
        if (!again) call(joint, (offsets[part] ?? 0) + vertex);
      }
    }
  });
}
