import { memberOf } from '../../asset/narrow.js';
import { type CarryPlan, extensionOf, itemsOf } from './carry-plan.js';
import { turns } from './frame-change.js';
import { carryMembers, type InFrame, inFrame, length, normal, point } from './shapes.js';

const NAME = 'VRMC_springBone';
const EXTENDED = 'VRMC_springBone_extended_collider';
const LIMIT = 'VRMC_springBone_limit';

/**
 * Carries colliders (VRMC_springBone 1.0, `VRMC_springBone.colliders`): offset and tail are "in the
 * local coordinates of the target node", and the whole shape is taken to be in them. The text does not
 * say that the radius grows with its node; it is common practice.
 *
 * Joints need nothing: SpringBone Algorithm takes rotations and directions of one frame together, so
 * that a constant C cancels out; lengths are "in the world coordinate", and so are `gravityDir`
 * (Considering center space) and `hitRadius`, which is in metres and added to distances in the world.
 * What is given in the frame of `center` goes there and back again.
 */
export function carrySpringBone(plan: CarryPlan): void {
  const extension = extensionOf(plan.json, NAME);
  itemsOf(memberOf(extension, 'colliders')).forEach((collider, index) => {
    const pointer = `/extensions/${NAME}/colliders/${index}`;
    const node = plan.nodeAt(memberOf(collider, 'node'));
    const frame = inFrame(plan, node, `a collider (${NAME})`);
    if (frame === null) return;
    carryShape(frame, collider, pointer);
    const extended = { ...frame, what: `a collider (${EXTENDED})` };
    carryShape(extended, extensionOf(collider, EXTENDED), `${pointer}/extensions/${EXTENDED}`);
  });
  for (const spring of itemsOf(memberOf(extension, 'springs')))
    for (const joint of itemsOf(memberOf(spring, 'joints'))) {
      const node = plan.nodeAt(memberOf(joint, 'node'));
      if (node === null) continue;
      keepSpring(plan, node, NAME);
      const isLimited = [joint, spring].some((part) => extensionOf(part, LIMIT) !== undefined);
      if (isLimited && turns(plan.changeOf(node, `the limit of a spring (${LIMIT})`).turn))
        plan.refuse([node], `${LIMIT} limits ${plan.say(node)} by the axes of its frame`);
    }
}

/** Refuses what a spring does not bear: that its joint moves or is mirrored. */
export function keepSpring(plan: CarryPlan, node: number, name: string): void {
  const { moves, scale } = plan.changeOf(node, `a spring (${name})`);
  if (moves) plan.refuse([node], `a spring (${name}) hangs on ${plan.say(node)}, which would move`);
  if (scale < 0)
    plan.refuse(
      [node],
      `a spring (${name}) swings ${plan.say(node)}, whose frame is mirrored, and it is not specified what that does`,
    );
}

/** VRMC_springBone 1.0, and the plane of VRMC_springBone_extended_collider 1.0 (ShapePlane). */
const SHAPES = {
  sphere: { offset: point, radius: length },
  capsule: { offset: point, tail: point, radius: length },
  plane: { offset: point, radius: length, normal },
};

function carryShape(frame: InFrame, holder: unknown, pointer: string): void {
  const shape = memberOf(holder, 'shape');
  for (const [kind, members] of Object.entries(SHAPES))
    carryMembers(frame, memberOf(shape, kind), `${pointer}/shape/${kind}`, members);
}
