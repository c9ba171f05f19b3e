import { memberOf } from '../../asset/narrow.js';
import { type CarryPlan, extensionOf, itemsOf } from './carry-plan.js';
import { turns } from './frame-change.js';
import { carryLength, carryNormal, carryPoint, type Held } from './shapes.js';

const NAME = 'VRMC_springBone';
const EXTENDED = 'VRMC_springBone_extended_collider';
const LIMIT = 'VRMC_springBone_limit';

/**
 * Carries colliders (VRMC_springBone 1.0, `VRMC_springBone.colliders`): offset and tail are "in the
 * local coordinates of the target node", and the shape is taken as standing in them whole. That the
 * radius grows with its node the text does not say; it is common practice.
 *
 * Joints need nothing: SpringBone Algorithm takes rotations and directions of one frame together, so
 * that a constant C cancels out; lengths are "in the world coordinate", and so are `gravityDir`
 * (Considering center space) and `hitRadius`, which is in metres and added to distances in the world.
 * What is told in the frame of `center` goes there and back again.
 */
export function carrySpringBone(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, NAME);
  itemsOf(memberOf(extension, 'colliders')).forEach((collider, index) => {
    carryCollider(plan, collider, `/extensions/${NAME}/colliders/${index}`);
  });
  for (const spring of itemsOf(memberOf(extension, 'springs')))
    for (const joint of itemsOf(memberOf(spring, 'joints'))) {
      const node = plan.nodeAt(memberOf(joint, 'node'));
      if (node === null) continue;
      keepSpring(plan, node, NAME);
      const limited = [joint, spring].some(
        (item) => memberOf(memberOf(item, 'extensions'), LIMIT) !== undefined,
      );
      if (limited && turns(plan.changeOf(node, `the limit of a spring (${LIMIT})`).turn))
        plan.refuse([node], `${LIMIT} limits ${plan.say(node)} by the axes of its frame`);
    }
}

/** What a spring asks of its joints: that they stay where they are, and are not mirrored. */
export function keepSpring(plan: CarryPlan, node: number, name: string): void {
  const { moves, scale } = plan.changeOf(node, `a spring (${name})`);
  if (moves) plan.refuse([node], `a spring (${name}) hangs on ${plan.say(node)}, which would move`);
  if (scale < 0)
    plan.refuse(
      [node],
      `a spring (${name}) swings ${plan.say(node)}, whose frame is mirrored, and it is not specified what that does`,
    );
}

function carryCollider(plan: CarryPlan, collider: unknown, at: string): void {
  const node = plan.nodeAt(memberOf(collider, 'node'));
  if (node === null || !plan.concerns(node)) return;
  const change = plan.changeOf(node, `a collider (${NAME})`);
  carryShape({ plan, node, change, at: `${at}/shape`, what: `a collider (${NAME})` }, collider);
  carryShape(
    {
      plan,
      node,
      change,
      at: `${at}/extensions/${EXTENDED}/shape`,
      what: `a collider (${EXTENDED})`,
    },
    memberOf(memberOf(collider, 'extensions'), EXTENDED),
  );
}

/** Sphere, capsule, and the plane of VRMC_springBone_extended_collider 1.0 (ShapePlane), as they are told there. */
function carryShape(held: Held, holder: unknown): void {
  if (isSame(held)) return;
  const shape = memberOf(holder, 'shape');
  for (const [kind, points] of [
    ['sphere', ['offset']],
    ['capsule', ['offset', 'tail']],
    ['plane', ['offset']],
  ] as const) {
    const own = memberOf(shape, kind);
    const inside: Held = { ...held, at: `${held.at}/${kind}` };
    for (const key of points) carryPoint(inside, own, key);
    carryLength(inside, own, 'radius');
    if (kind === 'plane') carryNormal(inside, own, 'normal', [0, 0, 1]);
  }
}

function isSame({ change: { turn, scale, moves } }: Held): boolean {
  return !moves && scale === 1 && !turns(turn);
}
