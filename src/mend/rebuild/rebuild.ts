import { visible } from '../../report/visible.js';
import { skew } from '../../rig/decompose.js';
import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import type { NodeTable } from '../../rig/types.js';
import { whyNotCarried } from '../carry/carry-extensions.js';
import { namedNodes } from '../carry/named-nodes.js';
import type { MendContext } from '../repair.js';
import { contentOf, isPlacedBySkin } from '../repairs/node-content.js';
import { carriersOf, jointsWithoutMatrix } from '../repairs/refit-facts.js';
import { type ClipTable, clipKeys, keyedClips } from './clip-table.js';
import { type KeyMaps, nodeMaps } from './key-maps.js';
import { isEvenScale } from './linear.js';
import { cleanScale, relativeTo, type Stored, splitOf, storedOf } from './stored.js';

/** How a skeleton is to be built anew, with nothing seen to move. */
export interface Rebuild {
  /** C of each joint, spacer or holder whose frame changes: its new world matrix is W C in every pose. Affine. */
  readonly frames: ReadonlyMap<number, Mat4>;
  /** New parent of each node that gets another one; -1 for the top. */
  readonly parents: ReadonlyMap<number, number>;
}

/** How one node is to be stored. */
export interface NodePlan {
  readonly node: number;
  /** Local matrix, and how it is stored. */
  readonly local: Mat4;
  readonly stored: Stored;
  /** The keys of this node become those of `node`: its own, or those of the new parent turned back. */
  readonly source: number;
  readonly isInverse: boolean;
  /** By clip: how its keys change, or null where they have to be sampled anew. */
  readonly clips: ReadonlyMap<number, KeyMaps | null>;
}

/** A map that some children of a node have to take back. */
export interface Between {
  readonly back: Mat4;
  readonly children: readonly number[];
}

export interface RebuildPlan {
  readonly frames: ReadonlyMap<number, Mat4>;
  readonly parents: ReadonlyMap<number, number>;
  readonly nodes: readonly NodePlan[];
  /** What is hung between a joint and its other children, so that these keep their looks. By parent. */
  readonly between: ReadonlyMap<number, Between>;
  /** Nodes that no constant product of keys keeps exact, with the first clip that shows it. */
  readonly uneven: readonly { readonly node: number; readonly clip: string }[];
}

/** A local matrix with more skew is none that glTF can hold. Share. */
const SKEWED = 5e-6;

/**
 * Plans a rebuild, or tells why it cannot be: with p the new parent, a local matrix becomes
 * (W_p C_p)^-1 W C. Where p is the old parent that is C_p^-1 L C; where it was the child, the inverse of
 * the child's local matrix stands for L.
 */
export function planRebuild(
  context: Pick<MendContext, 'edit' | 'model'>,
  rebuild: Rebuild,
): RebuildPlan | { readonly why: string } {
  const { edit, model } = context;
  const { nodes } = model;
  const { frames, parents } = rebuild;
  const carried = whyNotCarried(edit.json, frames);
  if (carried !== null) return { why: carried };
  const { placed } = namedNodes(edit.json);
  const carriers = carriersOf(model);
  const unbound = jointsWithoutMatrix(model);
  const clips = keyedClips(edit, model);
  const between = new Map<number, { readonly back: Mat4; readonly children: number[] }>();
  const plans: NodePlan[] = [];
  const uneven: { node: number; clip: string }[] = [];
  const name = (node: number): string => `"${visible(nodes.names[node] ?? `node ${node}`)}"`;
  for (const node of nodes.order) {
    const parent = parents.get(node) ?? nodes.parent[node] ?? -1;
    const [own, above] = [frames.get(node), frames.get(parent)];
    if (own === undefined && above === undefined && !parents.has(node)) continue;
    if (parents.has(node) && placed.has(node))
      return {
        why: `an extension names ${name(node)}, and it depends on which node hangs on which`,
      };
    if (own !== undefined) {
      const content = contentOf(edit.json, node);
      if (content !== null)
        return { why: `${name(node)} carries ${content}, which would look different` };
      if (unbound.has(node))
        return {
          why: `${name(node)} has no inverse bind matrix that could make up for the change`,
        };
    }
    if (!carriers.has(node)) {
      // Nobody looks at where a skinned mesh node stands.
      const isLeaf = (nodes.children[node] ?? []).length === 0;
      const isIdle = isPlacedBySkin(edit.json, node) && contentOf(edit.json, node) === null;
      if (isLeaf && isIdle && !placed.has(node)) continue;
      const back = above === undefined ? null : invert(above);
      if (back === null) return { why: `${name(parent)} is scaled to zero` };
      if (!isEvenScale(back)) {
        const hung = between.get(parent) ?? { back, children: [] };
        hung.children.push(node);
        between.set(parent, hung);
        continue;
      }
    }
    const local = localOf(nodes, parent, node, above, own);
    if (local === null) return { why: `${name(parent)} is scaled to zero` };
    if (skew(local) > SKEWED) return { why: `${name(node)} would be skewed` };
    const planned = planNode(nodes, clips, { node, parent, above, own, local });
    for (const [clip, maps] of planned.clips)
      if (maps === null) uneven.push({ node, clip: clips.names.get(clip) ?? '' });
    plans.push(planned);
  }
  return { frames, parents, nodes: plans, between, uneven };
}

interface Placed {
  readonly node: number;
  readonly parent: number;
  readonly above: Mat4 | undefined;
  readonly own: Mat4 | undefined;
  readonly local: Mat4;
}

function planNode(
  nodes: NodeTable,
  clips: ClipTable,
  { node, parent, above, own, local }: Placed,
): NodePlan {
  const before = above === undefined ? identity() : (invert(above) ?? identity());
  const after = own ?? identity();
  const isSame = nodes.parent[node] === parent;
  const isInverse = !isSame && parent !== -1 && nodes.parent[parent] === node;
  const source = isInverse ? parent : node;
  const stored = storedOf(nodes, source);
  const way = isSame || isInverse ? [source] : wayBetween(nodes, node, parent);
  const moving = clips.moving(way);
  if (!isSame && !isInverse) {
    const none = new Map(moving.map((clip) => [clip, null]));
    return { node, local, stored: splitOf(local), source, isInverse, clips: none };
  }
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
  return {
    node,
    local,
    stored: maps === null ? splitOf(local) : storedBy(maps, base),
    source,
    isInverse,
    clips: made,
  };
}

/** What a node stores takes the maps of its keys, so that a clip that keys one part of it fits the others. */
function storedBy(maps: KeyMaps, { translation, rotation, scale }: Stored): Stored {
  const [x, y, z, w] = maps.rotation(rotation, false);
  const size = Math.hypot(x, y, z, w);
  return {
    translation: maps.translation(translation, false),
    rotation: [x / size, y / size, z / size, w / size],
    scale: cleanScale(maps.scale(scale)),
  };
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

function localOf(
  nodes: NodeTable,
  parent: number,
  node: number,
  above: Mat4 | undefined,
  own: Mat4 | undefined,
): Mat4 | null {
  // Without its world, which rounds, where nothing but frames changes.
  const relative =
    nodes.parent[node] === parent
      ? mat4At(nodes.local, node)
      : relativeTo(parent === -1 ? null : mat4At(nodes.world, parent), mat4At(nodes.world, node));
  if (relative === null) return null;
  const back = above === undefined ? identity() : invert(above);
  return back && multiply(multiply(back, relative), own ?? identity());
}
