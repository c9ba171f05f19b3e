import { invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Ground } from './ground.js';
import { type Frame, isMatrix, type Reframing } from './reframing.js';
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

/**
 * Works out the C of every node when some get another local transform and nothing is to be seen of it.
 * Whatever shows something has C = 1 and takes all back. Joints, spacers and holders take a scale along
 * (C a scale), so that none has to store it; their skins then undo it.
 *
 * @param fold By node: new local transforms (`set`), and factors for the stored scale (`rescale`).
 */
export function foldInto(
  ground: Ground,
  fold: { set?: ReadonlyMap<number, Similarity>; rescale?: ReadonlyMap<number, number> },
): Reframing {
  const { set = new Map<number, Similarity>(), rescale = new Map<number, number>() } = fold;
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
    for (let next = open.pop(); next !== undefined; next = open.pop()) {
      const { node, parent } = next;
      done.add(node);
      const frame = frameOf(node, parent);
      if (!isMatrix(frame) && isNoChange(frame)) continue;
      frames.set(node, frame);
      if (isMatrix(frame)) continue;
      for (const child of nodes.children[node] ?? [])
        if (set.has(child) || !ground.isIdle(child)) open.push({ node: child, parent: frame });
    }
  }
  return { frames, locals: set };
}

/** C = L^-1 P L', a matrix where L is no similarity, so that nothing below can take it. */
function frameOfSet(old: Mat4, parent: Similarity, local: Similarity): Frame {
  const similarity = similarityOf(old);
  if (similarity !== null) return after(inverseOf(similarity), after(parent, local));
  // What is flattened has no inverse, and carries nothing along.
  const back = invert(old) ?? new Float64Array(16);
  return multiply(back, multiply(matrixOf(parent), matrixOf(local)));
}
