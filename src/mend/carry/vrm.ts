import { memberOf } from '../../asset/narrow.js';
import { conjugate, multiplyQuaternions } from '../../rig/quaternion.js';
import { type CarryPlan, extensionOf, itemsOf, objectOf } from './carry-plan.js';
import { restRotation, turns } from './frame-change.js';
import { carryMembers, inFrame, leftHandedPoint, length, point } from './shapes.js';
import { keepSpring } from './spring-bone.js';

/**
 * Carries VRM 1.0 (VRMC_vrm 1.0). Humanoid bones, first person and expressions name nodes and meshes,
 * and stay; poses are given from the rest rotation (VRMC_vrm_animation 1.0, NormalizedLocalRotation),
 * so that turning a bone's frame is free, while its place is what it turns about. `offsetFromHeadBone`
 * is "the local position of the transform from the head" (`lookAt.md`, LookAt space).
 */
export function carryVrm1(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, 'VRMC_vrm');
  const bones = objectOf(memberOf(memberOf(extension, 'humanoid'), 'humanBones')) ?? {};
  const nodeOf = (bone: string): number | null =>
    plan.nodeAt(memberOf(memberOf(bones, bone), 'node'));
  for (const bone of Object.keys(bones)) keepPlace(plan, nodeOf(bone), 'VRMC_vrm');
  const lookAt = memberOf(extension, 'lookAt');
  if (lookAt === undefined) return;
  const hasOffset = memberOf(lookAt, 'offsetFromHeadBone') !== undefined;
  const head = hasOffset ? nodeOf('head') : null;
  const frame = inFrame(plan, head, 'the point that eyes look from (VRMC_vrm)');
  if (frame !== null)
    carryMembers(frame, lookAt, '/extensions/VRMC_vrm/lookAt', { offsetFromHeadBone: point });
  if (memberOf(lookAt, 'type') === 'expression') return;
  for (const eye of ['leftEye', 'rightEye']) keepEye(plan, nodeOf(eye));
}

/** What a pose asks of a humanoid bone: it turns about its place. */
function keepPlace(plan: CarryPlan, node: number | null, name: string): void {
  if (node !== null && plan.changeOf(node, `a humanoid bone (${name})`).moves)
    plan.refuse([node], `${plan.say(node)} is a humanoid bone (${name}), which would move`);
}

/**
 * `lookAt.md`, Apply Yaw and Pitch to bone: an eye's local rotation is set to a turn about the axes of
 * its parent, whatever it was at rest.
 */
function keepEye(plan: CarryPlan, eye: number | null): void {
  if (eye === null) return;
  for (const node of [eye, plan.parentOf(eye)])
    if (turns(plan.changeOf(node, 'an eye (VRMC_vrm)').turn))
      plan.refuse(
        [node],
        `eyes turn (VRMC_vrm) about the axes of ${plan.say(node)}, which would be turned`,
      );
}

/**
 * Carries VRM 0.x (`specification/0.0/README.md`). Everything in it names nodes by index; only
 * materials are named by their names. Collider groups give offsets in "the local coordinate from the
 * node", left-handed as their schema says. The text does not say that a radius grows with its node;
 * it is common practice.
 */
export function carryVrm0(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, 'VRM');
  if (extension === undefined) return;
  const human = new Map<unknown, number>();
  for (const bone of itemsOf(memberOf(memberOf(extension, 'humanoid'), 'humanBones'))) {
    const node = plan.nodeAt(memberOf(bone, 'node'));
    if (node !== null) human.set(memberOf(bone, 'bone'), node);
  }
  keepRest(plan, new Set(human.values()));
  const secondary = memberOf(extension, 'secondaryAnimation');
  itemsOf(memberOf(secondary, 'colliderGroups')).forEach((group, index) => {
    carryColliders(plan, group, `/extensions/VRM/secondaryAnimation/colliderGroups/${index}`);
  });
  for (const group of itemsOf(memberOf(secondary, 'boneGroups'))) keepSprings(plan, group);
  carryFirstPerson(plan, memberOf(extension, 'firstPerson'), human.get('head') ?? null);
}

/** VRM rules: "No local rotation for bone". Programs set a bone's rotation as if it had none at rest. */
function keepRest(plan: CarryPlan, human: ReadonlySet<number>): void {
  for (const node of human) {
    keepPlace(plan, node, 'VRM');
    if (turns(plan.changeOf(node, 'a humanoid bone (VRM)').turn))
      plan.refuse(
        [node],
        `${plan.say(node)} is a humanoid bone of VRM 0.x, and VRM 0.x poses it as if it had no rotation at rest, so its frame cannot be turned`,
      );
  }
  const joints = new Set(plan.json.skins?.flatMap((skin) => skin.joints));
  for (const node of new Set([...human, ...joints])) {
    if (!plan.concerns(node)) continue;
    const parent = plan.parentOf(node);
    const what = 'a bone (VRM)';
    const [before, after] = [plan.changeOf(parent, what).turn, plan.changeOf(node, what).turn];
    const rest = restRotation(plan.json.nodes?.[node] ?? {});
    const now = multiplyQuaternions(multiplyQuaternions(conjugate(before), rest), after);
    if (turns(multiplyQuaternions(now, conjugate(rest))) && turns(now))
      plan.refuse(
        [node, parent],
        `${plan.say(node)} is a bone of VRM 0.x, which must have no rotation at rest, but the mend would give it one`,
      );
  }
}

function carryColliders(plan: CarryPlan, group: unknown, pointer: string): void {
  const frame = inFrame(plan, plan.nodeAt(memberOf(group, 'node')), 'a collider (VRM)');
  if (frame === null) return;
  const members = { offset: leftHandedPoint, radius: length };
  itemsOf(memberOf(group, 'colliders')).forEach((collider, index) => {
    carryMembers(frame, collider, `${pointer}/colliders/${index}`, members);
  });
}

/** Bone groups name the roots of springs; all below them swing. */
function keepSprings(plan: CarryPlan, group: unknown): void {
  const hits = memberOf(group, 'hitRadius');
  const open = itemsOf(memberOf(group, 'bones')).flatMap((bone) => plan.nodeAt(bone) ?? []);
  const seen = new Set<number>();
  for (let node = open.pop(); node !== undefined; node = open.pop()) {
    if (seen.has(node)) continue;
    seen.add(node);
    for (const child of plan.json.nodes?.[node]?.children ?? []) open.push(child);
    keepSpring(plan, node, 'VRM');
    const { scale } = plan.changeOf(node, 'a spring (VRM)');
    if (typeof hits === 'number' && hits !== 0 && Math.abs(scale) !== 1)
      plan.refuse(
        [node],
        `a spring (VRM) has a hitRadius on ${plan.say(node)}, whose scale would change, and it is not specified whether the radius changes with it`,
      );
  }
}

/**
 * `firstPersonBoneOffset` is given "from the head bone" in axes that the text does not name: it can be
 * scaled, but not turned.
 */
function carryFirstPerson(plan: CarryPlan, firstPerson: unknown, head: number | null): void {
  const node = plan.nodeAt(memberOf(firstPerson, 'firstPersonBone')) ?? head;
  const hasOffset = memberOf(firstPerson, 'firstPersonBoneOffset') !== undefined;
  const frame = inFrame(plan, hasOffset ? node : null, 'the first-person view (VRM)');
  if (frame === null) return;
  const { change, what } = frame;
  const members = { firstPersonBoneOffset: leftHandedPoint };
  if (change.moves || change.scale < 0 || turns(change.turn))
    plan.refuse(
      [frame.node],
      `${what} is relative to the frame of ${plan.say(frame.node)}, which would be turned, and its axes are not specified`,
    );
  else carryMembers(frame, firstPerson, '/extensions/VRM/firstPerson', members);
}
