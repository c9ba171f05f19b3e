import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { MOST_CLIPS } from '../../src/measure/fit/clip-carry.js';
import {
  MOST_TIMES,
  type PlayedJoint,
  type PlayMoment,
  played,
} from '../../src/measure/fit/play.js';
import type { PlayKind } from '../../src/measure/fit/play-worst.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { against, limit, point, worstOf } from '../parts.js';
import { consequenceWords, type PlayDetails, playWords } from './play-words.js';

/** The proof of a fit: what the clips of the house show on this rig, beside what they show on their own. */
export const fitPlay = rule({
  id: 'fit.play',
  level: 'error',
  title: 'clips that show something else than on the approved rig',
  why: 'The clips of a library were made on one skeleton. On another one that looks alike, hands can miss the prop and feet the floor, and nobody knows before the clip plays.',
  formula: `Both rigs are posed by every clip of the approved asset and the library, at every key and between keys (at most ${MOST_TIMES} times a clip, and ${MOST_CLIPS} clips). The measures are the angle between the directions of each bone, and how far each joint, and the skin where both have the same mesh, is off as seen from the body root, once both rigs are of one size. Of the body root, it is how far it has travelled. Each joint keeps the values of the clip; moves are scaled with the size of the rig, up to twice or half the approved size. Joints that a clip does not pose stay as stored. Each rig has one finding, at the worst joint.`,
  remedy: 'Give the joints the bind pose, the frames and the places that the approved rig has.',
  source: 'common practice; poses of clips after glTF 2.0, Appendix C',
  limits: {
    angle: limit(5, 'degrees', 'bone against the same bone of the approved rig'),
    away: limit(2, '% of size', 'joint or skin against where the approved rig has it'),
  },
  onApproved: true,
  yieldsTo: [
    { to: ['fit.missing', 'fit.parent', 'fit.frame', 'fit.length', 'fit.unit'], on: 'rig' },
  ],
  check(facts, limits) {
    const result = played(facts);
    if (result === null) return notApplicable('no joint answers to one of the approved rig');
    const { clips, list, root } = result;
    if (clips === 0)
      return notApplicable('no clip of the approved asset poses a joint that this rig has');
    const most: Readonly<Record<PlayKind, number>> = {
      bone: limits.angle,
      place: limits.away,
      skin: limits.away,
    };
    const short = list.flatMap((entry) => worstAt(entry, most));
    const worst = worstOf(short, ({ share }) => share);
    if (worst === undefined) return judged('joints', list.length, []);
    const { joint, kind, moment, entry } = worst;
    const degrees = entry.bone?.value ?? 0;
    const percent = Math.max(entry.place?.value ?? 0, entry.skin?.value ?? 0);
    const joints = short.map((other) => other.joint);
    const unit = kind === 'bone' ? 'degrees' : '% of size';
    const details: PlayDetails = {
      ...{ joint, kind, moment, degrees, percent, joints },
      isRoot: joint === root,
    };
    const other =
      kind === 'bone'
        ? ({ measured: percent, unit: '% of size' } as const)
        : ({ measured: degrees, unit: 'degrees' } as const);
    const isOtherPast = other.measured > (kind === 'bone' ? limits.away : limits.angle);
    return judgedAsOne('joints', list.length, {
      level: 'error',
      ...atJoints(joints, joint),
      ...against(moment.value, most[kind], unit),
      ...(isOtherPast && { also: [other] }),
      evidence: [point('joint', bindPose(facts).places[joint] ?? [0, 0, 0])],
      details,
    });
  },
  say: (finding, words) => playWords(finding, words),
  consequence: ({ details }, words) => consequenceWords(details, words),
});

interface Worst {
  readonly entry: PlayedJoint;
  readonly joint: number;
  readonly kind: PlayKind;
  readonly moment: PlayMoment;
  /** Measured over limit; what is off at all is endlessly over a limit of 0. */
  readonly share: number;
}

/** What numbers of 32 bits leave, whatever the limit: degrees, or % of size. */
const ROUNDING = 1e-3;

/** What is past its limit by most at one joint: the direction of its bone before its place and skin. */
function worstAt(entry: PlayedJoint, most: Readonly<Record<PlayKind, number>>): Worst[] {
  const past = (['bone', 'place', 'skin'] as const).flatMap((kind): Worst[] => {
    const moment = entry[kind];
    return moment !== null && moment.value > Math.max(ROUNDING, most[kind])
      ? [{ entry, joint: entry.joint, kind, moment, share: moment.value / most[kind] }]
      : [];
  });
  const worst = worstOf(past, ({ share }) => share);
  return worst === undefined ? [] : [worst];
}
