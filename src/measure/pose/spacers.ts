import { identity, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { type Facts, fact } from '../facts.js';

/** Takes a joint's local frame to its parent joint's: the product of the spacers between, as stored. */
export function spacerMatrix(facts: Facts, joint: number): Mat4 {
  const list = facts.rig.joints.spacers[joint] ?? [];
  return products(facts).get(list) ?? identity();
}

/** One product for each run of spacers, however many joints hang below it. */
const products = fact(({ rig }): ReadonlyMap<readonly number[], Mat4> => {
  return new Map(
    [...new Set(rig.joints.spacers)].map((list) => [
      list,
      list.reduce(
        (matrix, spacer) => multiply(matrix, mat4At(rig.nodes.local, spacer)),
        identity(),
      ),
    ]),
  );
});
