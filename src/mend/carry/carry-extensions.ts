import { UsageError } from '../../asset/errors.js';
import type { Editable } from '../file/editable.js';
import type { GltfJson } from '../json/gltf-json.js';
import { keepPointers } from './animation-pointer.js';
import { CarryPlan, type Frames, type Obstacle } from './carry-plan.js';
import { carryNodeConstraints } from './node-constraint.js';
import { carrySpringBone } from './spring-bone.js';
import { carryVrm0, carryVrm1 } from './vrm.js';

/**
 * Carries along what extensions give in the frames of nodes, so that it stays where it is seen. Call it
 * before the nodes change: rest rotations are read from them. Throws UsageError for an obstacle.
 */
export function carryExtensions({ json }: Editable, frames: Frames): void {
  const { obstacles, edits } = planOf(json, frames);
  const [obstacle] = obstacles;
  if (obstacle !== undefined) throw new UsageError(obstacle.why);
  for (const { holder, key, value } of edits) holder[key] = value;
}

/** All that cannot be carried. Changes nothing. */
export function notCarried(json: GltfJson, frames: Frames): readonly Obstacle[] {
  return planOf(json, frames).obstacles;
}

function planOf(json: GltfJson, frames: Frames): CarryPlan {
  const plan = new CarryPlan(json, frames);
  // Pointers come last, when all that is carried is known.
  const carriers = [carrySpringBone, carryNodeConstraints, carryVrm1, carryVrm0, keepPointers];
  if (plan.changes.size > 0) for (const carry of carriers) carry(plan);
  return plan;
}
