import { type Axis, axisName, type Facts, sameAxis } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import type { Frame as Axes } from '../../measure/skeleton/frame.js';
import type { Vec3 } from '../../rig/vec3.js';
import { carryOut } from '../reframe/carry-out.js';
import { Ground, type Opened } from '../reframe/ground.js';
import { whyNotExactly } from '../reframe/plan.js';
import type { Frame } from '../reframe/reframing.js';
import { turnAlone } from '../reframe/similarity.js';
import type { Change, LeftAlone, Mended } from '../repair.js';
import { frameFrom, mirrors, turnBetween, WHY_MIRRORED } from './frame-algebra.js';

const RULE = 'axis.uniform';

/**
 * Turns every frame of a rig from its present convention to another one: each joint by the one signed
 * permutation of axes that takes the new aim and up axis onto the present ones, so that turning back
 * gives the same numbers. A side that mirrors keeps doing so.
 *
 * @param only Indices of the rigs to turn; null for all.
 */
export function turnToConvention(
  opened: Opened,
  aim: Axis,
  up: Axis,
  only: ReadonlySet<number> | null = null,
): Mended {
  const ground = new Ground(opened);
  const opposite: Axis = { index: aim.index, sign: aim.sign === 1 ? -1 : 1 };
  let turned = new Map<number, Frame>();
  const changes: Change[] = [];
  const left: LeftAlone[] = [];
  for (const rig of opened.model.rigs) {
    if (only?.has(rig.index) === false) continue;
    const { joints, name: place } = rig;
    // The rig's present axes, whatever the standard wants.
    const facts: Facts = { rig, wanted: { aim: null, up: null } };
    const { kind, aim: rigAim, up: rigUp } = conventions(facts);
    const oldAim = rigAim?.middle;
    const leave = (why: string): void => void left.push({ rule: RULE, place, why });
    if (kind !== 'aimed' || oldAim === undefined || rigUp === null) {
      leave('its frames do not follow one convention, so they cannot be turned to another');
      continue;
    }
    if (sameAxis(oldAim, aim) && sameAxis(rigUp, up)) continue;
    const mirrored = joints.paths.findIndex((_, joint) => mirrors(facts, joint));
    if (mirrored !== -1) {
      leave(`"${joints.names[mirrored]}" cannot be turned: ${WHY_MIRRORED}`);
      continue;
    }
    const wanted = new Map(turned);
    joints.node.forEach((node, joint) => {
      const old = aimAxisOf(facts, joint) ?? oldAim;
      const newAim = old.sign === oldAim.sign ? aim : opposite;
      const frame = frameFrom(newAim, up, unitOf(old), unitOf(rigUp));
      if (frame !== null) wanted.set(node, turnAlone(turnBetween(IDENTITY, frame)));
    });
    const why = whyNotExactly(ground, { frames: wanted });
    if (why !== null) {
      leave(`it cannot be turned as a whole: ${why}`);
      continue;
    }
    turned = wanted;
    changes.push({
      rule: RULE,
      place,
      before: `aim ${axisName(oldAim)}, up ${axisName(rigUp)}`,
      after: `aim ${axisName(aim)}, up ${axisName(up)} on ${joints.count} joints`,
    });
  }
  return carryOut(ground, { frames: turned }, { changes, left });
}

/** A frame in its own axes: C takes it to that with C newAim = oldAim and C newUp = oldUp. */
const IDENTITY: Axes = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

function unitOf({ index, sign }: Axis): Vec3 {
  const axis: [number, number, number] = [0, 0, 0];
  axis[index] = sign;
  return axis;
}
