import { skew, type Trs } from '../../rig/decompose.js';
import { columnLength, identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import type { NodeTable } from '../../rig/types.js';
import { scale as scaled } from '../../rig/vec3.js';
import { EVEN } from '../carry/frame-change.js';
import { type ClipTable, clipKeys } from './clip-table.js';
import type { Ground } from './ground.js';
import { exactMaps, type KeyMaps, nodeMaps } from './key-maps.js';
import { scaling } from './linear.js';
import { asMatrix, type Frame, isMatrix, type NodePlan } from './reframing.js';
import { isTurned, matrixOf, NO_CHANGE, type Similarity } from './similarity.js';
import { cleanScale, relativeTo, splitOf, storedOf, upFrom } from './stored.js';

/** A node with its new parent, and the C of both. */
interface Placed {
  readonly node: number;
  readonly parent: number;
  readonly above: Frame | undefined;
  readonly frame: Frame | undefined;
  /** Whether its parent was given another transform, so that this one takes over what that lost. */
  readonly takesOver: boolean;
  /** Whether its keys may be mapped by what is exact for its stored transform alone. */
  readonly isLoose: boolean;
}

export const FLAT = 'is scaled to zero, and this cannot be undone';

/** A node that is given its local transform, and that no clip moves. */
export function planSet(node: number, local: Similarity): NodePlan {
  const { scale } = local;
  const stored = { ...local, scale: [scale, scale, scale] as const };
  const plan = { node, local: matrixOf(local), stored, isSplit: true };
  return { ...plan, source: node, isInverse: false, clips: new Map() };
}

/** How a node is stored when its frame, its parent's or its parent changes; or why it cannot be. */
export function planNode(ground: Ground, placed: Placed): NodePlan | { readonly why: string } {
  return planExact(ground, placed) ?? planLinear(ground, placed);
}

/** Null where `exactMaps` does not hold. */
function planExact(
  { nodes, clips, json }: Ground,
  { node, parent, above, frame, takesOver }: Placed,
): NodePlan | null {
  if (nodes.parent[node] !== parent) return null;
  const [front, end] = [above ?? NO_CHANGE, frame ?? NO_CHANGE];
  if (isMatrix(front) || isMatrix(end) || Math.hypot(...end.translation) > 0) return null;
  if (isTurned(end) && !isEvenlyScaled(nodes, clips, node)) return null;
  const maps = exactMaps(front, end);
  const back = invert(matrixOf(front)) ?? identity();
  const local = multiply(multiply(back, mat4At(nodes.local, node)), matrixOf(end));
  const table = storedOf(nodes, node);
  // A unit is rounded once: in the table, or after the turn, if it is taken as it is in the file.
  const [x = 0, y = 0, z = 0, w = 1] = json.nodes?.[node]?.rotation ?? table.rotation;
  const stored = takesOver
    ? storedBy(maps, table, (turn) => turn)
    : storedBy(maps, { ...table, rotation: [x, y, z, w] });
  const moved = new Map(clips.moving([node]).map((clip) => [clip, maps]));
  return { node, local, stored, source: node, isInverse: false, isSplit: false, clips: moved };
}

/** Scales that differ by less count as one, which turns carry along: nobody sees it. Share. */
const ALIKE = 1e-4;

function isEvenlyScaled(nodes: NodeTable, { channels }: ClipTable, node: number): boolean {
  const keyed = (channels.get(node) ?? []).filter(({ path }) => path === 'scale');
  const stored = nodes.scale.subarray(3 * node, 3 * node + 3);
  return [stored, ...keyed.map(({ values }) => values)].every((scales) => {
    for (let at = 0; at + 2 < scales.length; at += 3) {
      const [x = 0, y = 0, z = 0] = scales.subarray(at, at + 3);
      const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
      const apart = Math.max(Math.abs(x - y), Math.abs(y - z), Math.abs(z - x));
      if (!(apart <= ALIKE * largest)) return false;
    }
    return true;
  });
}

function planLinear(
  { nodes, clips }: Ground,
  { node, parent, above, frame = NO_CHANGE, isLoose }: Placed,
): NodePlan | { readonly why: string } {
  const before = above === undefined ? identity() : invert(asMatrix(above));
  const after = asMatrix(frame);
  const old = before && localOf(nodes, parent, node);
  if (before === null || old === null) return { why: `hangs on what ${FLAT}` };
  const local = multiply(multiply(before, old), after);
  if (skew(local) > EVEN)
    return { why: 'would be skewed, which no node can store; mend its scale first' };
  const isSame = nodes.parent[node] === parent;
  const isInverse = !isSame && parent !== -1 && nodes.parent[parent] === node;
  const source = isInverse ? parent : node;
  const stored = storedOf(nodes, source);
  const moving = clips.moving(isSame || isInverse ? [source] : nodesBetween(nodes, node, parent));
  const plan = { node, local, source, isInverse, isSplit: moving.length > 0 || !isSame };
  if (!isSame && !isInverse)
    return { ...plan, stored: splitOf(local), clips: new Map(moving.map((clip) => [clip, null])) };
  const keys = moving.map((clip) => {
    const plain = clipKeys(clips, clip, source);
    const turns = isInverse ? plain.turns.map((span) => span.map(conjugate)) : plain.turns;
    return { ...plain, clip, turns };
  });
  const [front, end] = isInverse ? turnedBack(before, after, stored) : [before, after];
  const base = isInverse ? { ...AT_ZERO, rotation: conjugate(stored.rotation) } : stored;
  const turns = keys.flatMap((clip) => clip.turns);
  // Where the stretch does not pass all turns of all clips, it may still pass those of some.
  const maps = nodeMaps(front, end, base, turns);
  const exact = keys.map((all): [number, KeyMaps | null] => {
    const isExact = maps?.isExact(all) === true && !(isInverse && all.movesOrScales);
    return [all.clip, isExact || (isLoose && !isInverse) ? maps : null];
  });
  const kept = maps === null ? splitOf(local) : storedBy(maps, base);
  return { ...plan, stored: kept, clips: new Map(exact) };
}

/** What a node stores takes the maps of its keys, so that a clip that keys a part of it fits the rest. */
function storedBy(
  { translation, rotation, scale }: KeyMaps,
  from: Trs,
  round: (turn: Quaternion) => Quaternion = unit,
): Partial<Trs> {
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

const AT_ZERO: Trs = { translation: [0, 0, 0], rotation: [0, 0, 0, 1], scale: [1, 1, 1] };

/** L^-1 = S^-1 R^-1 T^-1: what is on both sides of the rotation that varies. */
function turnedBack(before: Mat4, after: Mat4, { translation, scale }: Trs): [Mat4, Mat4] {
  const [x, y, z] = scale;
  const end = multiply(matrixOf({ ...NO_CHANGE, translation: scaled(translation, -1) }), after);
  // A shift that only rounding leaves would keep a curve from being exact.
  const least = 1e-6 * columnLength(end, 0);
  for (let at = 12; at < 15; at++) if (Math.abs(end[at] ?? 0) < least) end[at] = 0;
  return [multiply(before, scaling([1 / x, 1 / y, 1 / z])), end];
}

/** Nodes whose local transforms lie between two: from each up to where both meet. */
function nodesBetween(nodes: NodeTable, a: number, b: number): number[] {
  const [above, others] = [upFrom(nodes, a), upFrom(nodes, b)];
  return [...above, ...others].filter((node) => above.has(node) !== others.has(node));
}

/** As seen from the new parent; not from world matrices, which round, where the parent stays. */
function localOf(nodes: NodeTable, parent: number, node: number): Mat4 | null {
  if (nodes.parent[node] === parent) return mat4At(nodes.local, node);
  return relativeTo(parent === -1 ? null : mat4At(nodes.world, parent), mat4At(nodes.world, node));
}
