import { skew } from '../../rig/decompose.js';
import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import type { NodeTable } from '../../rig/types.js';
import { EVEN } from '../carry/frame-change.js';
import type { NodeJson } from '../json/gltf-json.js';
import { type ClipTable, clipKeys } from './clip-table.js';
import { exactMaps } from './exact-maps.js';
import type { Ground } from './ground.js';
import { type KeyMaps, nodeMaps } from './key-maps.js';
import { asMatrix, type Frame, isMatrix, type NodePlan } from './reframing.js';
import { isTurned, matrixOf, NO_CHANGE, type Similarity } from './similarity.js';
import { cleanScale, relativeTo, type Stored, splitOf, storedOf } from './stored.js';

/** A node with its parent from now on, and the C of both. */
export interface Placed {
  readonly node: number;
  readonly parent: number;
  readonly above: Frame | undefined;
  readonly own: Frame | undefined;
  /** Whether its parent was given another transform outright, so that this one takes up what that lost. */
  readonly takesUp: boolean;
}

export const FLAT = 'is scaled to zero, and this cannot be undone';

/** A node that is given its local transform, and that no clip moves. */
export function planSet(node: number, local: Similarity): NodePlan {
  const { translation, rotation, scale } = local;
  const stored = { translation, rotation, scale: [scale, scale, scale] as const };
  const clips = new Map<number, null>();
  const still = { source: node, isInverse: false, clips };
  return { node, local: matrixOf(local), stored, isSplit: true, ...still };
}

/** How a node is stored when its frame, its parent's or its parent changes; or why it cannot be. */
export function planNode(ground: Ground, placed: Placed): NodePlan | { readonly why: string } {
  return planExact(ground, placed) ?? planLinear(ground, placed);
}

/** Null where `exactMaps` does not hold. */
function planExact(
  { nodes, clips, json }: Ground,
  { node, parent, above, own, takesUp }: Placed,
): NodePlan | null {
  if (nodes.parent[node] !== parent) return null;
  const [front, end] = [above ?? NO_CHANGE, own ?? NO_CHANGE];
  if (isMatrix(front) || isMatrix(end) || Math.hypot(...end.translation) > 0) return null;
  if (isTurned(end) && !isEvenlyScaled(nodes, clips, node)) return null;
  const maps = exactMaps(front, end);
  const back = invert(matrixOf(front)) ?? identity();
  const local = multiply(multiply(back, mat4At(nodes.local, node)), matrixOf(end));
  const all = new Map(clips.moving([node]).map((clip) => [clip, maps]));
  const same = { source: node, isInverse: false, isSplit: false, clips: all };
  const table = storedOf(nodes, node);
  // A unit is rounded once: in the table, or after the turn.
  const stored = takesUp
    ? storedBy(maps, table, (turn) => turn)
    : storedBy(maps, asWritten(json.nodes?.[node], table));
  return { node, local, stored, ...same };
}

/** With the rotation as it is in the file, which the table has made a unit. */
function asWritten(node: NodeJson | undefined, stored: Stored): Stored {
  if (node?.rotation === undefined) return stored;
  const [x = 0, y = 0, z = 0, w = 1] = node.rotation;
  return { ...stored, rotation: [x, y, z, w] };
}

/** Scales that differ by less are one scale, which a turn carries along; what that hides is far below what is seen. Share. */
const ALIKE = 1e-4;

function isEvenlyScaled(nodes: NodeTable, { channels }: ClipTable, node: number): boolean {
  const keyed = (channels.get(node) ?? []).filter(({ path }) => path === 'scale');
  return [nodes.scale.subarray(3 * node, 3 * node + 3), ...keyed.map(({ values }) => values)].every(
    (scales) => {
      for (let at = 0; at + 2 < scales.length; at += 3) {
        const [x = 0, y = 0, z = 0] = scales.subarray(at, at + 3);
        const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
        const apart = Math.max(Math.abs(x - y), Math.abs(y - z), Math.abs(z - x));
        if (!(apart <= ALIKE * largest)) return false;
      }
      return true;
    },
  );
}

function planLinear(
  { nodes, clips }: Ground,
  { node, parent, above, own }: Placed,
): NodePlan | { readonly why: string } {
  const before = above === undefined ? identity() : invert(asMatrix(above));
  const after = own === undefined ? identity() : asMatrix(own);
  const old = before && localOf(nodes, parent, node);
  if (before === null || old === null) return { why: `hangs on what ${FLAT}` };
  const local = multiply(multiply(before, old), after);
  if (skew(local) > EVEN)
    return { why: 'would be skewed, which no node can store; mend its scale first' };
  const isSame = nodes.parent[node] === parent;
  const isInverse = !isSame && parent !== -1 && nodes.parent[parent] === node;
  const source = isInverse ? parent : node;
  const stored = storedOf(nodes, source);
  const way = isSame || isInverse ? [source] : wayBetween(nodes, node, parent);
  const moving = clips.moving(way);
  const plan = { node, local, source, isInverse, isSplit: moving.length > 0 || !isSame };
  if (!isSame && !isInverse)
    return { ...plan, stored: splitOf(local), clips: new Map(moving.map((clip) => [clip, null])) };
  const back = (turn: Quaternion): Quaternion => (isInverse ? conjugate(turn) : turn);
  const keys = new Map(
    moving.map((clip) => {
      const plain = clipKeys(clips, clip, source);
      return [clip, { ...plain, turns: plain.turns.map((span) => span.map(back)) }];
    }),
  );
  const [front, end] = isInverse ? turnedBack(before, after, stored) : [before, after];
  const base = isInverse ? { ...AT_ZERO, rotation: conjugate(stored.rotation) } : stored;
  const turns = [...keys.values()].flatMap((item) => item.turns);
  // Where the stretch does not pass all turns of all clips, some clip may still stand still.
  const maps = nodeMaps(front, end, base, turns);
  const made = new Map<number, KeyMaps | null>();
  for (const [clip, item] of keys) {
    const isTravelling = isInverse && clips.travels(source, clip);
    made.set(clip, maps !== null && !isTravelling && maps.isExact(item) ? maps : null);
  }
  return { ...plan, stored: maps === null ? splitOf(local) : storedBy(maps, base), clips: made };
}

/** What a node stores takes the maps of its keys, so that a clip that keys one part of it fits the others. */
function storedBy(
  { translation, rotation, scale }: KeyMaps,
  from: Stored,
  round: (turn: Quaternion) => Quaternion = unit,
): Partial<Stored> {
  return {
    ...(translation && { translation: translation(from.translation, false) }),
    ...(rotation && { rotation: round(rotation(from.rotation, false)) }),
    ...(scale && { scale: cleanScale(scale(from.scale)) }),
  };
}

function unit([x, y, z, w]: Quaternion): Quaternion {
  const size = Math.hypot(x, y, z, w);
  return [x / size, y / size, z / size, w / size];
}

const AT_ZERO: Stored = { translation: [0, 0, 0], rotation: [0, 0, 0, 1], scale: [1, 1, 1] };

/** L^-1 = S^-1 R^-1 T^-1: what stands on both sides of the rotation that varies. */
function turnedBack(before: Mat4, after: Mat4, { translation, scale }: Stored): [Mat4, Mat4] {
  const [x, y, z] = scale;
  const shrink = identity();
  shrink[0] = 1 / x;
  shrink[5] = 1 / y;
  shrink[10] = 1 / z;
  const move = identity();
  translation.forEach((value, axis) => {
    move[12 + axis] = -value;
  });
  return [multiply(before, shrink), rounded(multiply(move, after))];
}

/** A shift that only rounding leaves would keep a curve from being exact. */
function rounded(matrix: Mat4): Mat4 {
  const size = Math.hypot(matrix[0] ?? 0, matrix[1] ?? 0, matrix[2] ?? 0);
  for (let at = 12; at < 15; at++) if (Math.abs(matrix[at] ?? 0) < 1e-6 * size) matrix[at] = 0;
  return matrix;
}

/** Nodes whose local transforms lie between two: from each up to where both meet. */
function wayBetween(nodes: NodeTable, a: number, b: number): number[] {
  const above = (node: number): number[] => {
    const way: number[] = [];
    for (let at = node; at !== -1; at = nodes.parent[at] ?? -1) way.push(at);
    return way;
  };
  const [ofA, ofB] = [above(a), above(b)];
  const shared = new Set(ofB);
  return [...ofA.filter((node) => !shared.has(node)), ...ofB.filter((node) => !ofA.includes(node))];
}

/** As it stands, seen from the parent it is to have; without its world, which rounds, where that stays. */
function localOf(nodes: NodeTable, parent: number, node: number): Mat4 | null {
  if (nodes.parent[node] === parent) return mat4At(nodes.local, node);
  return relativeTo(parent === -1 ? null : mat4At(nodes.world, parent), mat4At(nodes.world, node));
}
