import { UsageError } from '../../asset/errors.js';
import type { Editable } from '../file/editable.js';
import type { GltfJson } from '../json/gltf-json.js';
import { keepPointers } from './animation-pointer.js';
import { CarryPlan, type Frames, type Obstacle } from './carry-plan.js';
import { carryNodeConstraints } from './node-constraint.js';
import { carrySpringBone } from './spring-bone.js';
import { carryVrm0 } from './vrm-0.js';
import { carryVrm1 } from './vrm-1.js';

/**
 * Carries along what extensions give in the frames of nodes, so that it stays where it is seen.
 * To be called before the nodes themselves are changed, since rest rotations are read from them.
 * Throws UsageError for what `notCarried` tells of.
 *
 * @param frames By node, the constant C of its change W' = W C.
 */
export function carryExtensions({ json }: Editable, frames: Frames): void {
  const plan = planOf(json, frames);
  const [obstacle] = plan.obstacles;
  if (obstacle !== undefined) throw new UsageError(obstacle.why);
  plan.apply();
}

/**
 * All that cannot be carried, each with the nodes of which one would have to keep its frame. Changes
 * nothing.
 */
export function notCarried(json: GltfJson, frames: Frames): readonly Obstacle[] {
  return planOf(json, frames).obstacles;
}

function planOf(json: GltfJson, frames: Frames): CarryPlan {
  const plan = new CarryPlan(json, frames);
  if (!plan.changesAny) return plan;
  carrySpringBone(plan);
  carryNodeConstraints(plan);
  carryVrm1(plan);
  carryVrm0(plan);
  keepPointers(plan);
  return plan;
}
