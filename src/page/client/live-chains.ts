import { Matrix4 } from 'three';
import type { SceneChain } from '../../draw/scene.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { PageChain, PageRig } from '../page-data.js';

/** A chain of a rig, as the measure curls it: from its first joint as stored, the others as bound. */
export type LiveChain = SceneChain;

/** The chains of a rig: how each joint stands in the frame of the one before is put together from the nodes. */
export function makeChains({ chains, nodes, jointNodes }: PageRig): LiveChain[] {
  const local = (node: number, bound: readonly number[] | undefined): Matrix4 =>
    new Matrix4().fromArray([...(bound ?? nodes[node]?.local ?? [])]);
  /** From one node, or from the world for -1, to a node below it. */
  const between = (above: number, below: number, bound?: readonly number[]): Matrix4 => {
    const matrix = local(below, bound);
    let node = nodes[below]?.parent ?? -1;
    for (; node !== -1 && node !== above; node = nodes[node]?.parent ?? -1)
      matrix.premultiply(local(node, undefined));
    return matrix;
  };
  return chains.map(({ joints, carried, letters, bound }: PageChain) => {
    const at = joints.map((joint) => jointNodes[joint] ?? -1);
    const steps = at.map((node, place) => {
      const { elements } = between(at[place - 1] ?? -1, node, bound?.[place - 1]);
      const column = (index: number): Vec3 => {
        const [x = 0, y = 0, z = 0] = elements.slice(4 * index, 4 * index + 3);
        return [x, y, z];
      };
      return { axes: [column(0), column(1), column(2)] as const, at: column(3) };
    });
    return { joints, curl: { steps, carried, letters }, ...(bound && { bound }) };
  });
}
