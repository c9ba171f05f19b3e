import { memberOf } from '../../asset/narrow.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { angleBetween, radians, type Vec3 } from '../../rig/vec3.js';
import { type CarryPlan, extensionOf, objectOf } from './carry-plan.js';
import { restRotation, TURN_ROUNDING, turns } from './frame-change.js';

const NAME = 'VRMC_node_constraint';
const WHAT = `a constraint (${NAME})`;

interface Tie {
  readonly plan: CarryPlan;
  readonly destination: number;
  readonly source: number;
  readonly constraint: Record<string, unknown>;
  /** JSON pointer. */
  readonly at: string;
}

/**
 * Carries constraints (VRMC_node_constraint 1.0). With R a rest rotation, C the change of a node's
 * frame, P that of its parent's, a stored rotation q becomes P^-1 q C; so must what the constraint
 * makes of the destination, for every pose of the source. Slerp to a weight follows, since it commutes
 * with constant products on either side.
 */
export function carryNodeConstraints(plan: CarryPlan): void {
  plan.json.nodes?.forEach((node, destination) => {
    const kinds = memberOf(extensionOf(node, NAME), 'constraint');
    for (const [kind, carry] of Object.entries(KINDS)) {
      const constraint = objectOf(memberOf(kinds, kind));
      const source = plan.nodeAt(constraint?.source);
      if (constraint === null || source === null) continue;
      if (!plan.concerns(destination) && !plan.concerns(source)) continue;
      if (plan.changeOf(destination, WHAT).moves)
        plan.refuse(
          [destination],
          `${WHAT} turns ${plan.say(destination)} about its place, which would move`,
        );
      const at = `/nodes/${destination}/extensions/${NAME}/constraint/${kind}`;
      carry({ plan, destination, source, constraint, at });
    }
  });
}

const KINDS = { roll: carryRoll, aim: carryAim, rotation: keepRotation };

/**
 * Roll Constraint, Evaluation of rotations: the source's turn from rest, taken from its parent's frame
 * into the destination's, is rolled about an axis a of the destination, so that a' = C^-1 a; its sign
 * does not count. Where the frames of the two parents change differently, G = R^-1 (Ps Pd^-1) R comes
 * between, R being that of the destination, and has to leave a as it is.
 */
function carryRoll(tie: Tie): void {
  const { plan, destination, source, constraint } = tie;
  const axis = AXES.find(({ rollAxis }) => rollAxis === constraint.rollAxis);
  if (axis === undefined) return;
  const parents = [plan.parentOf(source), plan.parentOf(destination)] as const;
  const [sourceTurn, destinationTurn] = parents.map((node) => plan.changeOf(node, WHAT).turn);
  const rest = restRotation(plan.json.nodes?.[destination] ?? {});
  const between = multiplyQuaternions(sourceTurn ?? SAME, conjugate(destinationTurn ?? SAME));
  const kept = rotate(conjugate(rest), rotate(between, rotate(rest, axis.direction)));
  if (!isSameDirection(kept, axis.direction))
    plan.refuse(
      parents,
      `${WHAT} rolls ${plan.say(destination)} with ${plan.say(source)}, but their parents would be turned differently`,
    );
  renameAxis(tie, 'rollAxis', axis, `rolls ${plan.say(destination)} about its ${axis.rollAxis}`);
}

/**
 * Aim Constraint, Evaluation of rotations: an axis a of the destination is turned towards the source
 * "in world coordinates", so that a' = C^-1 a, with its sign. In a frame that is mirrored the world
 * direction of an axis and that of its rotation alone are opposites.
 */
function carryAim(tie: Tie): void {
  const { plan, destination, source, constraint } = tie;
  const axis = AXES.find(({ aimAxis }) => aimAxis === constraint.aimAxis);
  if (axis === undefined) return;
  if (plan.changeOf(source, WHAT).moves)
    plan.refuse(
      [source],
      `${WHAT} aims ${plan.say(destination)} at ${plan.say(source)}, which would move`,
    );
  if (plan.changeOf(destination, WHAT).scale < 0)
    plan.refuse(
      [destination],
      `${WHAT} aims ${plan.say(destination)}, whose frame is mirrored, and it is not specified where its axis then points`,
    );
  renameAxis(tie, 'aimAxis', axis, `aims the ${axis.aimAxis} of ${plan.say(destination)}`);
}

/** Gives an axis of the destination the name that it has in the new frame. */
function renameAxis(
  { plan, destination: node, constraint: holder, at }: Tie,
  key: 'rollAxis' | 'aimAxis',
  axis: (typeof AXES)[number],
  does: string,
): void {
  const turned = rotate(conjugate(plan.changeOf(node, WHAT).turn), axis.direction);
  const now = AXES.find(({ direction }) => isSameDirection(direction, turned));
  if (now === undefined)
    plan.refuse([node], `${WHAT} ${does}, which would be no axis of its new frame`);
  else if (now[key] !== axis[key])
    plan.edits.push({ holder, key, value: now[key], pointer: `${at}/${key}`, node });
}

/**
 * Rotation Constraint, Evaluation of rotations: the turn D of the source from rest "in the local
 * coordinate of the source" is given to the destination in its own. C^-1 D C of the source is R^-1 R D
 * C of the destination for every D only where both are turned alike.
 */
function keepRotation({ plan, destination, source }: Tie): void {
  const [given, taken] = [plan.changeOf(destination, WHAT), plan.changeOf(source, WHAT)];
  if (turns(multiplyQuaternions(given.turn, conjugate(taken.turn))))
    plan.refuse(
      [destination, source],
      `${WHAT} gives ${plan.say(destination)} the turns of ${plan.say(source)} in their own frames, which would be turned differently`,
    );
}

const SAME: Quaternion = [0, 0, 0, 1];

const AXES = [
  { rollAxis: 'X', aimAxis: 'PositiveX', direction: [1, 0, 0] },
  { rollAxis: 'Y', aimAxis: 'PositiveY', direction: [0, 1, 0] },
  { rollAxis: 'Z', aimAxis: 'PositiveZ', direction: [0, 0, 1] },
  { rollAxis: 'X', aimAxis: 'NegativeX', direction: [-1, 0, 0] },
  { rollAxis: 'Y', aimAxis: 'NegativeY', direction: [0, -1, 0] },
  { rollAxis: 'Z', aimAxis: 'NegativeZ', direction: [0, 0, -1] },
] as const;

function isSameDirection(a: Vec3, b: Vec3): boolean {
  return radians(angleBetween(a, b)) <= TURN_ROUNDING;
}
