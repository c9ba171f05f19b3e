import type { Finding } from '../../src/kit/finding.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { PlayMoment } from '../../src/measure/fit/play.js';
import type { PlayKind } from '../../src/measure/fit/play-worst.js';

/** What the words of a finding need. */
export interface PlayDetails {
  readonly joint: number;
  /** What differs most there, over its limit. */
  readonly kind: PlayKind;
  readonly moment: PlayMoment;
  /** The worst of the other measure at this joint, whenever it is. */
  readonly degrees: number;
  readonly percent: number;
  readonly joints: readonly number[];
  readonly isRoot: boolean;
}

/** Which clip shows what, when and by how much, and what to do. */
export function playWords({ details, measured, limit }: Finding<PlayDetails>, words: Words): Said {
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
}

function clipWords({ clip }: PlayMoment): string {
  return `The clip "${clip.name}" of ${clip.source}`;
}

function whatWords(kind: PlayKind, isRoot: boolean, joint: string): string {
  if (kind === 'bone') return `the bone to ${joint}`;
  if (kind === 'skin') return `the skin on ${joint}`;
  return isRoot ? `the way that the whole rig travels with ${joint}` : `the joint ${joint}`;
}

/** What is less, in degrees or % of size, is not worth a word. */
const LEAST_SEEN = 0.01;

function isSeen(value: number): boolean {
  return value >= LEAST_SEEN;
}

/** `In clips, bones point up to 34° wrong and joints and skin are up to 3.2 % of size from their place, ...`. */
export function consequenceWords(
  { joint, moment, degrees, percent }: PlayDetails,
  words: Words,
): string {
  const off = [
    ...(isSeen(degrees) ? [`bones point up to ${words.degrees(degrees)} wrong`] : []),
    ...(isSeen(percent)
      ? [`joints and skin are up to ${words.percent(percent)} of size from their place`]
      : []),
  ];
  const what = off.length === 0 ? 'what is off is hardly seen' : off.join(', and ');
  return `In clips, ${what}, most at ${words.joint(joint)} in "${moment.clip.name}" at ${words.number(moment.time)} s.`;
}
