import { add, scale, type Vec3 } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { zoneOf } from './bend-lab.js';

/**
 * Where the form bends when a joint turns: the middle of the skin that blends there, each vertex by s (1 - s),
 * s its share in what turns. Bind pose, world space; null where none blends.
 */
export function bendMiddle(facts: Facts, joint: number): Vec3 | null {
  const { places, shares } = zoneOf(facts, joint);
  const sum = new Float64Array(3);
  let total = 0;
  shares.forEach((share, vertex) => {
    const weight = share * (1 - share);
    total += weight;
    for (let k = 0; k < 3; k++) sum[k] = (sum[k] ?? 0) + weight * (places[3 * vertex + k] ?? 0);
  });
  if (!(total > 0)) return null;
  const [x = 0, y = 0, z = 0] = sum;
  return add(bindPose(facts).places[joint] ?? [0, 0, 0], scale([x, y, z], 1 / total));
}
