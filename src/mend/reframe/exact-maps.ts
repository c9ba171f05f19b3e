import { multiplyQuaternions } from '../../rig/quaternion.js';
import { scale as scaled } from '../../rig/vec3.js';
import type { KeyMaps } from './key-maps.js';
import {
  inverseOf,
  isNoChange,
  isTurned,
  moved,
  nearOne,
  type Similarity,
  turnedAndScaled,
} from './similarity.js';

/**
 * The maps of a node whose parent's C and own C are similarities P and C: L = T R S becomes P^-1 L C, a
 * rotation P^-1 R C, a scale times that of C over that of P. Exact for curves of any kind, as long as C
 * moves nothing and turns no unequal scale. What does not change has no map, so that it keeps its bytes.
 */
export function exactMaps(above: Similarity, own: Similarity): KeyMaps {
  const before = inverseOf(above);
  const factor = nearOne(own.scale * before.scale);
  return {
    ...(!isNoChange(before) && {
      translation: (value, isTangent) =>
        isTangent ? turnedAndScaled(before, value) : moved(before, value),
    }),
    ...((isTurned(before) || isTurned(own)) && {
      rotation: (value) =>
        multiplyQuaternions(multiplyQuaternions(before.rotation, value), own.rotation),
    }),
    ...(factor !== 1 && { scale: (value) => scaled(value, factor) }),
  };
}
