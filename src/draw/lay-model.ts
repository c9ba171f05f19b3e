import type { Facts } from '../measure/facts.js';
import { type Likeness, likeness } from '../measure/fit/likeness.js';
import { approvedFacts } from '../measure/fit/matching.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { decompose, turnDegrees } from '../rig/decompose.js';
import { invert, mat4At, multiply, transformPoint } from '../rig/mat4.js';
import { restWorld } from './rest-mesh.js';
import type { RigScene, SceneApproved } from './scene.js';
import { sceneSkeleton } from './scene-skeleton.js';

/**
 * The model of a class, laid over a rig of the same mesh: mesh on mesh, whatever its joints are called.
 * Null where nothing of it is in the rig. No clips are shown: it is about where joints are.
 */
export function layModel(facts: Facts, scene: RigScene): SceneApproved | null {
  const [model, found] = [approvedFacts(facts), likeness(facts)];
  const held = found && heldOf(found);
  if (!model || !found || !held) return null;
  const { laid, ofModel } = found;
  // A rig is shown as it is stored; where it was bound, the mesh of the model is.
  const [, own] = held;
  const back = invert(mat4At(bonePose(facts).world, own));
  const stored = mat4At(restWorld(scene), scene.jointNodes[own] ?? 0);
  const moved = back && multiply(stored, back);
  return {
    ...sceneSkeleton(model.rig).skeleton,
    name: model.rig.name,
    file: facts.approved?.asset.name ?? '',
    by: 'mesh',
    onto: [...laid.matrix],
    scale: laid.scale,
    turned: turnDegrees(decompose(laid.matrix).rotation),
    places: found.places.map((place) => (moved ? transformPoint(moved, place) : place)),
    held,
    jointAnswers: [...ofModel],
    clips: [],
  };
}

/** Nearer than this, a joint is in its place. % of size. */
const IN_PLACE = 0.5;

/** The topmost joint that is in its place, so that the model is not moved off the mesh; else the nearest. */
function heldOf({ ofModel, offs }: Likeness): [number, number] | null {
  let best = -1;
  for (const [joint, own] of ofModel.entries()) {
    if (own === -1) continue;
    if ((offs[joint] ?? Infinity) <= IN_PLACE) return [joint, own];
    if (best === -1 || (offs[joint] ?? Infinity) < (offs[best] ?? Infinity)) best = joint;
  }
  return best === -1 ? null : [best, ofModel[best] ?? -1];
}
