import { invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Ground } from './ground.js';
import type { Frame, Reframing } from './reframing.js';
import {
  after,
  inverseOf,
  isNoChange,
  matrixOf,
  NO_CHANGE,
  type Similarity,
  scaleAlone,
  similarityOf,
} from './similarity.js';

/** What nodes are to be stored as from now on. */
export interface Fold {
  /** Nodes that are to have this local transform. */
  readonly set?: ReadonlyMap<number, Similarity>;
  /** Nodes whose stored scale is to be multiplied by this. */
  readonly rescale?: ReadonlyMap<number, number>;
}

/**
 * Works out the C of every node when some get another local transform and nothing is to be seen of it.
 * Whatever shows something has C = 1 and takes all back. Joints, spacers and holders take a scale along
 * (C a scale), so that none has to store it; their skins then undo it.
 */
export function foldInto(
  ground: Ground,
  { set = new Map(), rescale = new Map() }: Fold,
): Reframing {
  const { nodes, carriers } = ground;
  const frames = new Map<number, Frame>();
  const done = new Set<number>();
  const frameOf = (node: number, parent: Similarity): Frame => {
    const local = set.get(node);
    if (local !== undefined) return frameOfSet(mat4At(nodes.local, node), parent, local);
    const takesScale = carriers.has(node) || rescale.has(node);
    return takesScale ? scaleAlone(parent.scale * (rescale.get(node) ?? 1)) : NO_CHANGE;
  };
  for (const top of nodes.order) {
    if (done.has(top) || !(set.has(top) || rescale.has(top))) continue;
    const open: { node: number; parent: Similarity }[] = [{ node: top, parent: NO_CHANGE }];
    for (let item = open.pop(); item !== undefined; item = open.pop()) {
      const { node, parent } = item;
      done.add(node);
      const frame = frameOf(node, parent);
      const isLast = frame instanceof Float64Array;
      if (isLast || !isNoChange(frame)) frames.set(node, frame);
      if (isLast || isNoChange(frame)) continue;
      for (const child of nodes.children[node] ?? [])
        if (set.has(child) || !ground.isIdle(child)) open.push({ node: child, parent: frame });
    }
  }
  return { frames, locals: set };
}

/** C = L^-1 P L', a matrix where L is no similarity, so that nothing below can take it. */
function frameOfSet(old: Mat4, parent: Similarity, local: Similarity): Frame {
  const own = similarityOf(old);
  if (own !== null) return after(inverseOf(own), after(parent, local));
  // What is flattened has no way back, and carries nothing along.
  const back = invert(old) ?? new Float64Array(16);
  return multiply(back, multiply(matrixOf(parent), matrixOf(local)));
}
