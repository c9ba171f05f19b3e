import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { NodeTable } from '../../rig/types.js';
import type { Step } from '../repairs/refit.js';
import { inverseOf, matrixOf, similarityOf } from '../repairs/similarity.js';
import type { Frames } from './carry-plan.js';

/**
 * The C of every node that a refit changes. A leaf that is set and was no similarity has one that scales
 * unequally, which a step does not tell: C = L^-1 P L'.
 */
export function framesOfSteps(nodes: NodeTable, steps: ReadonlyMap<number, Step>): Frames {
  const frames = new Map<number, Mat4>();
  const same = identity();
  for (const [node, { before, local, frame }] of steps) {
    const old = mat4At(nodes.local, node);
    const matrix =
      local === null || similarityOf(old) !== null
        ? matrixOf(frame)
        : multiply(
            // What is flattened has no way back, and carries nothing along.
            invert(old) ?? new Float64Array(16),
            multiply(matrixOf(inverseOf(before)), matrixOf(local)),
          );
    if (!matrix.every((value, i) => value === same[i])) frames.set(node, matrix);
  }
  return frames;
}
