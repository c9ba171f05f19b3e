import type { Facts } from '../facts.js';
import { bindMesh } from './bind-mesh.js';

/** Extent of the mesh in the bind pose along the vertical that the house asks for (+Y by default), in units of the file. */
export function heightOf(facts: Facts): number {
  const { min, max } = bindMesh(facts);
  const { index } = facts.wanted.contract?.vertical ?? { index: 1 };
  return max[index] - min[index];
}
