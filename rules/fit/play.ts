import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import { MOST_CLIPS } from '../../src/measure/fit/clip-carry.js';
import {
  MOST_TIMES,
  type PlayedJoint,
  type PlayMoment,
  played,
} from '../../src/measure/fit/play.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { against, limit, point, worstOf } from '../parts.js';

type Kind = 'bone' | 'place' | 'skin';

interface Details {
  readonly joint: number;
  /** What differs most there, over its limit. */
  readonly kind: Kind;
  readonly moment: PlayMoment;
  /** The worst of the other measure at this joint, whenever it is. */
  readonly degrees: number;
  readonly percent: number;
  readonly joints: readonly number[];
  readonly isRoot: boolean;
}

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
    const most: Readonly<Record<Kind, number>> = {
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
    const details: Details = {
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
  say({ details, measured, limit }, words) {
    const { joint, kind, moment, degrees, percent, joints, isRoot } = details;
    const others = joints.filter((other) => other !== joint);
    const all =
      others.length === 0
        ? ''
        : ` In all, ${words.count(joints.length, 'joint')} are off: ${words.joints([joint, ...others])}.`;
    const also =
      kind === 'bone'
        ? isSeen(percent) && `its joint is up to ${words.ofSize(percent)} off`
        : isSeen(degrees) && `its bone is up to ${words.degrees(degrees)} off`;
    return {
      message: `${clipWords(moment)} shows ${whatWords(kind, isRoot, words.joint(joint))} ${kind === 'bone' ? words.degrees(measured) : words.ofSize(measured)} off at ${words.number(moment.time)} s (limit ${kind === 'bone' ? words.degrees(limit ?? 0) : words.percent(limit ?? 0)})${also === false ? '' : `; ${also}`}.${all}`,
      remedy: `Give ${others.length === 0 ? words.joint(joint) : 'these joints'} the bind pose, frames and places of the approved rig, and store the rig in its bind pose. Then export again.`,
    };
  },
  consequence: ({ details }, words) => consequenceWords(details, words),
});

interface Worst {
  readonly entry: PlayedJoint;
  readonly joint: number;
  readonly kind: Kind;
  readonly moment: PlayMoment;
  /** Measured over limit; what is off at all is endlessly over a limit of 0. */
  readonly share: number;
}

/** What numbers of 32 bits leave, whatever the limit: degrees, or % of size. */
const ROUNDING = 1e-3;

/** What is past its limit by most at one joint: the direction of its bone before its place and skin. */
function worstAt(entry: PlayedJoint, most: Readonly<Record<Kind, number>>): Worst[] {
  const past = (['bone', 'place', 'skin'] as const).flatMap((kind): Worst[] => {
    const moment = entry[kind];
    return moment !== null && moment.value > Math.max(ROUNDING, most[kind])
      ? [{ entry, joint: entry.joint, kind, moment, share: moment.value / most[kind] }]
      : [];
  });
  const worst = worstOf(past, ({ share }) => share);
  return worst === undefined ? [] : [worst];
}

function clipWords({ clip }: PlayMoment): string {
  return `The clip "${clip.name}" of ${clip.source}`;
}

function whatWords(kind: Kind, isRoot: boolean, joint: string): string {
  if (kind === 'bone') return `the bone to ${joint}`;
  if (kind === 'skin') return `the skin on ${joint}`;
  return isRoot ? `the way that the whole rig travels with ${joint}` : `the joint ${joint}`;
}

/** What is less, in degrees or % of size, is not worth a word. */
const LEAST_SEEN = 0.01;

function isSeen(value: number): boolean {
  return value >= LEAST_SEEN;
}

/** `Clips show up to 34° and 3.2 % of size off, most at "shin_L" in "wade" at 0.5 s.` */
function consequenceWords({ joint, moment, degrees, percent }: Details, words: Words): string {
  const off = [
    ...(isSeen(degrees) ? [words.degrees(degrees)] : []),
    ...(isSeen(percent) ? [`${words.percent(percent)} of size`] : []),
  ];
  return `Clips show up to ${off.join(' and ')} off, most at ${words.joint(joint)} in "${moment.clip.name}" at ${words.number(moment.time)} s.`;
}
