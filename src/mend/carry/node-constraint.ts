import { memberOf } from '../../asset/narrow.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../../rig/quaternion.js';
import { angleBetween, type Vec3 } from '../../rig/vec3.js';
import { type CarryPlan, objectOf } from './carry-plan.js';
import { restRotation, TURN_ROUNDING, turns } from './frame-change.js';

const NAME = 'VRMC_node_constraint';
const WHAT = `a constraint (${NAME})`;

/** A constraint with the nodes that it ties. */
interface Tie {
  readonly plan: CarryPlan;
  readonly destination: number;
  readonly source: number;
  readonly constraint: unknown;
  readonly at: string;
}

/**
 * Carries constraints (VRMC_node_constraint 1.0). With R a rest rotation, C the change of a node's
 * frame, P that of its parent's, a stored rotation q becomes P^-1 q C; so must what the constraint
 * makes of the destination, for every pose of the source. Slerp to a weight follows, since it bears
 * constant products from either side.
 */
export function carryNodeConstraints(plan: CarryPlan): void {
  plan.json.nodes?.forEach((node, destination) => {
    const extension = memberOf(memberOf(node, 'extensions'), NAME);
    const kinds = memberOf(extension, 'constraint');
    for (const [kind, carry] of KINDS) {
      const constraint = memberOf(kinds, kind);
      const source = plan.nodeAt(memberOf(constraint, 'source'));
      if (source === null || !(plan.concerns(destination) || plan.concerns(source))) continue;
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

const KINDS: readonly (readonly [string, (tie: Tie) => void])[] = [
  ['roll', carryRoll],
  ['aim', carryAim],
  ['rotation', keepRotation],
];

/**
 * Roll Constraint, Evaluation of rotations: the source's turn from rest, taken from its parent's frame
 * into the destination's, is rolled about an axis a of the destination, so that a' = C^-1 a; its sign
 * does not count. Where the two parents' frames change unlike each other, G = R^-1 (Ps Pd^-1) R
 * comes between, R being that of the destination, and has to leave a as it is.
 */
function carryRoll({ plan, destination, source, constraint, at }: Tie): void {
  const holder = objectOf(constraint);
  const letter = memberOf(constraint, 'rollAxis');
  const axis = AXES.find(({ roll }) => roll === letter);
  if (holder === null || axis === undefined) return;
  const parents = [source, destination].map((node) => plan.parentOf(node));
  const [ofSource, ofDestination] = [source, destination].map(
    (node): Quaternion => plan.changeOf(plan.parentOf(node), WHAT).turn,
  );
  const rest = restRotation(plan.json.nodes?.[destination] ?? {});
  const between = multiplyQuaternions(ofSource ?? SAME, conjugate(ofDestination ?? SAME));
  const kept = rotate(conjugate(rest), rotate(between, rotate(rest, axis.way)));
  if (off(kept, axis.way) > TURN_ROUNDING)
    plan.refuse(
      parents,
      `${WHAT} rolls ${plan.say(destination)} with ${plan.say(source)}, but their parents would be turned differently`,
    );
  const turned = rotate(conjugate(plan.changeOf(destination, WHAT).turn), axis.way);
  const now = AXES.find(({ way }) => off(way, turned) <= TURN_ROUNDING);
  if (now === undefined)
    plan.refuse(
      [destination],
      `${WHAT} rolls ${plan.say(destination)} about its ${axis.roll}, which would be no axis of its new frame`,
    );
  else if (now.roll !== axis.roll) plan.set(holder, 'rollAxis', now.roll, at, destination);
}

/**
 * Aim Constraint, Evaluation of rotations: an axis a of the destination is turned towards the source
 * "in world coordinates", so that a' = C^-1 a, with its sign. In a frame that is mirrored the world
 * direction of an axis and that of its rotation alone are opposites.
 */
function carryAim({ plan, destination, source, constraint, at }: Tie): void {
  const holder = objectOf(constraint);
  const word = memberOf(constraint, 'aimAxis');
  const axis = AXES.find(({ aim }) => aim === word);
  if (holder === null || axis === undefined) return;
  if (plan.changeOf(source, WHAT).moves)
    plan.refuse(
      [source],
      `${WHAT} aims ${plan.say(destination)} at ${plan.say(source)}, which would move`,
    );
  const { turn, scale } = plan.changeOf(destination, WHAT);
  if (scale < 0)
    plan.refuse(
      [destination],
      `${WHAT} aims ${plan.say(destination)}, whose frame is mirrored, and it is not specified where its axis then points`,
    );
  const turned = rotate(conjugate(turn), axis.way);
  const now = AXES.find(({ way }) => off(way, turned) <= TURN_ROUNDING);
  if (now === undefined)
    plan.refuse(
      [destination],
      `${WHAT} aims the ${axis.aim} of ${plan.say(destination)}, which would be no axis of its new frame`,
    );
  else if (now !== axis) plan.set(holder, 'aimAxis', now.aim, at, destination);
}

/**
 * Rotation Constraint, Evaluation of rotations: the turn D of the source from rest "in the local
 * coordinate of the source" is given to the destination in its own. C^-1 D C of the source is R^-1 R D
 * C of the destination for every D only where both are turned alike.
 */
function keepRotation({ plan, destination, source }: Tie): void {
  const [own, other] = [plan.changeOf(destination, WHAT), plan.changeOf(source, WHAT)];
  if (turns(multiplyQuaternions(own.turn, conjugate(other.turn))))
    plan.refuse(
      [destination, source],
      `${WHAT} gives ${plan.say(destination)} the turns of ${plan.say(source)} in their own frames, which would be turned differently`,
    );
}

const SAME: Quaternion = [0, 0, 0, 1];

interface AxisWords {
  readonly roll: string;
  readonly aim: string;
  readonly way: Vec3;
}

const AXES: readonly AxisWords[] = [
  { roll: 'X', aim: 'PositiveX', way: [1, 0, 0] },
  { roll: 'Y', aim: 'PositiveY', way: [0, 1, 0] },
  { roll: 'Z', aim: 'PositiveZ', way: [0, 0, 1] },
  { roll: 'X', aim: 'NegativeX', way: [-1, 0, 0] },
  { roll: 'Y', aim: 'NegativeY', way: [0, -1, 0] },
  { roll: 'Z', aim: 'NegativeZ', way: [0, 0, -1] },
];

/** Radians between two directions. */
function off(a: Vec3, b: Vec3): number {
  return (angleBetween(a, b) * Math.PI) / 180;
}
