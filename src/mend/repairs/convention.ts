import { type Axis, axisName, type Facts, sameAxis } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import type { Frame } from '../../measure/skeleton/frames.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { Rig } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { whyNotCarried } from '../carry/carry-extensions.js';
import type { GltfJson } from '../file/gltf-json.js';
import type { Change, LeftAlone, MendContext, Mended } from '../repair.js';
import { framesOf, turnFrames, whyNotTurned } from '../turn-frames.js';
import { frameFrom, turnBetween } from './frames.js';

const RULE = 'axis.uniform';

/**
 * Turns every frame of a rig from the convention it was laid in to another one: each joint by the one
 * signed permutation of axes that takes the asked aim and up axis onto the rig's own, so that turning
 * back gives the same numbers. A side that mirrors keeps doing so.
 *
 * @param only Indices of the rigs to turn; null for all.
 */
export function turnToConvention(
  { edit, model }: Pick<MendContext, 'edit' | 'model'>,
  aim: Axis,
  up: Axis,
  only: ReadonlySet<number> | null = null,
): Mended {
  const turns = new Map<number, Quaternion>();
  const changes: Change[] = [];
  const left: LeftAlone[] = [];
  for (const rig of model.rigs) {
    if (only?.has(rig.index) === false) continue;
    // As the rig has it, whatever is asked.
    const facts: Facts = { rig, wanted: { aim: null, up: null } };
    const own = conventions(facts);
    const leave = (why: string): void => void left.push({ rule: RULE, place: rig.name, why });
    if (own.kind !== 'aimed' || own.aim === null || own.up === null) {
      leave('its frames do not follow one convention, so they cannot be turned to another');
      continue;
    }
    if (sameAxis(own.aim.middle, aim) && sameAxis(own.up, up)) continue;
    const reason = firstReason(rig, facts, edit.json);
    if (reason !== null) {
      leave(reason);
      continue;
    }
    const wanted = new Map(turns);
    for (let joint = 0; joint < rig.joints.count; joint++) {
      const old = aimAxisOf(facts, joint) ?? own.aim.middle;
      const mirrored = old.sign !== own.aim.middle.sign;
      const turn = conventionTurn(old, own.up, mirrored ? opposite(aim) : aim, up);
      if (turn !== null) wanted.set(rig.joints.node[joint] ?? -1, turn);
    }
    const uncarried = whyNotCarried(edit.json, framesOf(wanted));
    if (uncarried !== null) {
      leave(`it cannot be turned as a whole: ${uncarried}`);
      continue;
    }
    for (const [node, turn] of wanted) turns.set(node, turn);
    changes.push({
      rule: RULE,
      place: rig.name,
      before: `aim ${axisName(own.aim.middle)}, up ${axisName(own.up)}`,
      after: `aim ${axisName(aim)}, up ${axisName(up)} on ${rig.joints.count} joints`,
    });
  }
  if (turns.size > 0) turnFrames(edit, turns);
  return { changes, left };
}

function firstReason(rig: Rig, facts: Facts, json: GltfJson): string | null {
  for (let joint = 0; joint < rig.joints.count; joint++) {
    const reason = whyNotTurned(facts, joint, json);
    if (reason !== null) return `"${rig.joints.names[joint]}" cannot be turned: ${reason}`;
  }
  return null;
}

/** C with C newAim = oldAim and C newUp = oldUp, all axes of the joint's own frame. */
function conventionTurn(oldAim: Axis, oldUp: Axis, newAim: Axis, newUp: Axis): Quaternion | null {
  const frame = frameFrom(newAim, newUp, unitOf(oldAim), unitOf(oldUp));
  return frame && turnBetween(OWN, frame);
}

const OWN: Frame = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

function unitOf({ index, sign }: Axis): Vec3 {
  const axis: [number, number, number] = [0, 0, 0];
  axis[index] = sign;
  return axis;
}

function opposite({ index, sign }: Axis): Axis {
  return { index, sign: sign === 1 ? -1 : 1 };
}
