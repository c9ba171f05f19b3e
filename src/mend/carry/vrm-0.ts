import { memberOf } from '../../asset/narrow.js';
import { conjugate, multiplyQuaternions } from '../../rig/quaternion.js';
import { type CarryPlan, extensionOf, itemsOf } from './carry-plan.js';
import { restRotation, turns } from './frame-change.js';
import { carryLength, carryPoint, LEFT } from './shapes.js';
import { keepSpring } from './spring-bone.js';
import { keepPlace } from './vrm-1.js';

const NAME = 'VRM';

/**
 * Carries VRM 0.x (`specification/0.0/README.md`). Everything in it names nodes by index; materials
 * alone are named by their names. Collider groups give offsets in "the local coordinate from the
 * node", left-handed as their schema says. That a radius grows with its node the text does not say;
 * it is common practice.
 */
export function carryVrm0(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, NAME);
  if (extension === undefined) return;
  const human = new Map<unknown, number>();
  for (const item of itemsOf(memberOf(memberOf(extension, 'humanoid'), 'humanBones'))) {
    const node = plan.nodeAt(memberOf(item, 'node'));
    if (node !== null) human.set(memberOf(item, 'bone'), node);
  }
  keepRest(plan, new Set(human.values()));
  const secondary = memberOf(extension, 'secondaryAnimation');
  itemsOf(memberOf(secondary, 'colliderGroups')).forEach((group, index) => {
    carryColliders(plan, group, `/extensions/${NAME}/secondaryAnimation/colliderGroups/${index}`);
  });
  for (const group of itemsOf(memberOf(secondary, 'boneGroups'))) keepSprings(plan, group);
  carryFirstPerson(plan, memberOf(extension, 'firstPerson'), human.get('head') ?? null);
}

/**
 * VRM rules: "No local rotation for bone". Programs pose a bone by setting its rotation, as if it
 * had none at rest.
 */
function keepRest(plan: CarryPlan, human: ReadonlySet<number>): void {
  for (const node of human) {
    keepPlace(plan, node, NAME);
    if (turns(plan.changeOf(node, `a humanoid bone (${NAME})`).turn))
      plan.refuse(
        [node],
        `${plan.say(node)} is a humanoid bone of VRM 0.x, and VRM 0.x poses it as if it had no rotation at rest, so its frame cannot be turned`,
      );
  }
  const joints = new Set(plan.json.skins?.flatMap((skin) => skin.joints));
  for (const node of new Set([...human, ...joints])) {
    if (!plan.concerns(node)) continue;
    const parent = plan.parentOf(node);
    const what = `a bone (${NAME})`;
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

function carryColliders(plan: CarryPlan, group: unknown, at: string): void {
  const node = plan.nodeAt(memberOf(group, 'node'));
  if (node === null) return;
  const what = `a collider (${NAME})`;
  const change = plan.changeOf(node, what);
  if (!change.moves && change.scale === 1 && !turns(change.turn)) return;
  itemsOf(memberOf(group, 'colliders')).forEach((collider, index) => {
    const held = { plan, node, change, at: `${at}/colliders/${index}`, what };
    carryPoint(held, collider, 'offset', LEFT);
    carryLength(held, collider, 'radius');
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
    keepSpring(plan, node, NAME);
    const { scale } = plan.changeOf(node, `a spring (${NAME})`);
    if (typeof hits === 'number' && hits !== 0 && Math.abs(scale) !== 1)
      plan.refuse(
        [node],
        `a spring (${NAME}) has a hitRadius on ${plan.say(node)}, whose scale would change, and it is not specified whether the radius changes with it`,
      );
  }
}

/**
 * `firstPersonBoneOffset` is told "from the head bone" in axes that the text does not name, so that
 * it can grow, and nothing else.
 */
function carryFirstPerson(plan: CarryPlan, firstPerson: unknown, head: number | null): void {
  const node = plan.nodeAt(memberOf(firstPerson, 'firstPersonBone')) ?? head;
  if (node === null || memberOf(firstPerson, 'firstPersonBoneOffset') === undefined) return;
  const what = `the first-person view (${NAME})`;
  const change = plan.changeOf(node, what);
  if (change.moves || change.scale < 0 || turns(change.turn))
    plan.refuse(
      [node],
      `${what} is relative to the frame of ${plan.say(node)}, which would be turned, and its axes are not specified`,
    );
  else if (change.scale !== 1)
    carryPoint(
      { plan, node, change, at: `/extensions/${NAME}/firstPerson`, what },
      firstPerson,
      'firstPersonBoneOffset',
      LEFT,
    );
}
