import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { MOST_CLIPS } from '../../src/measure/fit/clip-carry.js';
import { MOST_TIMES, played } from '../../src/measure/fit/play.js';
import { type PlayLimits, pastLimits, worstPlayed } from '../../src/measure/fit/play-past.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { against, limit, point } from '../parts.js';
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
    const most: PlayLimits = { bone: limits.angle, place: limits.away, skin: limits.away };
    const short = pastLimits(list, most);
    const worst = worstPlayed(short, most);
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
