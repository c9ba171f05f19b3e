import { memberOf } from '../../asset/narrow.js';
import { type CarryPlan, extensionOf, objectOf } from './carry-plan.js';
import { turns } from './frame-change.js';
import { carryPoint } from './shapes.js';

const NAME = 'VRMC_vrm';

/**
 * Carries VRM 1.0 (VRMC_vrm 1.0). Humanoid bones, first person and expressions name nodes and meshes,
 * and stay; poses are told from the rest rotation (VRMC_vrm_animation 1.0, NormalizedLocalRotation),
 * so that turning a bone's frame is free, while its place is what it turns about. `offsetFromHeadBone`
 * is "the local position of the transform from the head" (`lookAt.md`, LookAt space).
 */
export function carryVrm1(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, NAME);
  const bones = objectOf(memberOf(memberOf(extension, 'humanoid'), 'humanBones')) ?? {};
  const nodeOf = (bone: string): number | null =>
    plan.nodeAt(memberOf(memberOf(bones, bone), 'node'));
  for (const bone of Object.keys(bones)) {
    const node = nodeOf(bone);
    if (node !== null) keepPlace(plan, node, NAME);
  }
  const lookAt = memberOf(extension, 'lookAt');
  const head = nodeOf('head');
  if (head !== null && memberOf(lookAt, 'offsetFromHeadBone') !== undefined) {
    const what = `the point that eyes look from (${NAME})`;
    const change = plan.changeOf(head, what);
    if (change.scale !== 1 || turns(change.turn))
      carryPoint(
        { plan, node: head, change, at: `/extensions/${NAME}/lookAt`, what },
        lookAt,
        'offsetFromHeadBone',
      );
  }
  if (lookAt === undefined || memberOf(lookAt, 'type') === 'expression') return;
  for (const eye of ['leftEye', 'rightEye']) keepEye(plan, nodeOf(eye));
}

/** What a pose asks of a humanoid bone: it turns about its place. */
export function keepPlace(plan: CarryPlan, node: number, name: string): void {
  if (plan.changeOf(node, `a humanoid bone (${name})`).moves)
    plan.refuse([node], `${plan.say(node)} is a humanoid bone (${name}), which would move`);
}

/**
 * `lookAt.md`, Apply Yaw and Pitch to bone: an eye's local rotation is set to a turn about the axes of
 * its parent, whatever it was at rest.
 */
function keepEye(plan: CarryPlan, eye: number | null): void {
  if (eye === null) return;
  for (const node of [eye, plan.parentOf(eye)])
    if (turns(plan.changeOf(node, `an eye (${NAME})`).turn))
      plan.refuse(
        [node],
        `eyes turn (${NAME}) about the axes of ${plan.say(node)}, which would be turned`,
      );
}
