import { fact } from '../facts.js';
import { skinMass } from './skin-mass.js';

/**
 * 1 where every vertex that a joint moves hangs on it alone: a rigid piece, as of a machine or a
 * toy. 0 where it moves none. A leftover weight below the floor of what moves skin does not count.
 */
export const rigidJoints = fact((facts): Uint8Array => {
  const { moves, shares } = skinMass(facts);
  return moves.map((value, joint) => (value === 1 && shares[joint] === 0 ? 1 : 0));
});
