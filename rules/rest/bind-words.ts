import type { Finding } from '../../src/kit/finding.js';
import { MEANT_POSE } from '../../src/kit/meant-words.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { PosedJoint } from '../../src/measure/pose/posed-joints.js';
import type { ClipMoment } from '../../src/measure/pose/stored-pose.js';
import type { UnboundScale } from '../../src/measure/pose/unbound-scale.js';
import { axisWords } from '../parts.js';

export type PoseLimits = Readonly<Record<'shift' | 'torn' | 'scale', number>>;

interface PoseDetails {
  readonly kind: 'pose';
  /** The joint whose skin moves farthest, -1 for none. */
  readonly joint: number;
  readonly posed: readonly number[];
  /** How the one posed joint is turned; null for several, or where it is also moved or scaled. */
  readonly turned: PosedJoint['turned'];
  /** The worst first. */
  readonly torn: readonly PosedJoint[];
  /** Whether the worst is off its place; else it is scaled. */
  readonly isMoved: boolean;
  readonly limits: PoseLimits;
  readonly moment: ClipMoment | null;
  readonly hasMesh: boolean;
}

export type BindDetails = PoseDetails | ({ readonly kind: 'scale' } & UnboundScale);

export function bindWords(finding: Finding<BindDetails>, words: Words): Said {
  const { details, limit } = finding;
  if (details.kind === 'pose') return poseWords(finding, details, words);
  const { joint, scale, clip } = details;
  const why = clip === null ? '' : `; the clip "${clip}" keys it`;
  return {
    message: `The topmost joint ${words.joint(joint)} is scaled by ${words.number(scale)}, which it was not when the mesh was bound (limit ${limit} % away from 1${why}).`,
    remedy: `Set its scale back to 1, or apply it to the mesh, the joints and the clips. ${MEANT_POSE}`,
  };
}

function poseWords(finding: Finding, details: PoseDetails, words: Words): Said {
  const { joint, posed, turned, torn, moment, hasMesh } = details;
  const { looked, short } = finding.counts ?? { looked: 0, short: 0 };
  const what = hasMesh ? 'moves the skin' : 'moves joints';
  const at = joint === -1 ? '' : `, farthest at ${words.joint(joint)}`;
  const turn =
    turned === null
      ? ''
      : `, turned by ${words.degrees(turned.angle)} about ${axisWords(turned.about, words)}`;
  const who = posed.length === 0 ? '' : `; posed: ${words.joints(posed)}${turn}`;
  const off = `it ${what} by up to ${words.ofSize(finding.measured)}${at} (limit ${finding.limit} %; ${short} of ${words.count(looked, 'joint')} shifted${who})`;
  const [first] = torn;
  if (moment !== null)
    return {
      message: `The rig is stored in a pose of the clip "${moment.clip}" (at ${words.number(moment.time)} s), not in its bind pose: ${off}.`,
      remedy: `Set the rig back to its bind pose before export; the clip keeps the other pose. ${MEANT_POSE}`,
    };
  if (first === undefined)
    return {
      message: `The rig is stored in a pose that is neither its bind pose nor a pose of any clip: ${off}.`,
      remedy: `Set ${posed.length === 1 ? words.joints(posed) : 'the rig'} back to the bind pose before export. ${MEANT_POSE}`,
    };
  const name = words.joint(first.joint);
  const [others, back] =
    torn.length > 1 ? [` The same is true of ${torn.length - 1} more.`, 'the joints'] : ['', name];
  const how = details.isMoved
    ? `${words.length(first.moved)} away from its place in the bind pose, relative to its parent (limit ${details.limits.torn} % of size)`
    : `scaled ${words.percent(100 * first.scaled)} away from its scale in the bind pose, relative to its parent (limit ${details.limits.scale} %)`;
  return {
    message: `${name} is ${how}, and no clip does that.${others} In the stored pose, ${off}.`,
    remedy: `Put ${back} back to the bind pose before export. ${MEANT_POSE}`,
  };
}
