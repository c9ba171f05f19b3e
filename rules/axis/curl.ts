import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import { curls } from '../../src/measure/skeleton/curl.js';
import type { Letter } from '../../src/rig/letters.js';
import { against, limit, line } from '../parts.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The proof of the frames: equal turns curl a segment in its plane. */
export const axisCurl = rule({
  id: 'axis.curl',
  level: 'error',
  title: 'a curl that leaves its plane',
  why: 'When an animator picks a whole tail and turns it about one axis, it must curl like a watch spring. When the frames differ, it twists like a corkscrew.',
  formula:
    'Every joint of a segment is turned about the same letter (X, Y or Z) by the same amount: by 90° / (n - 1), which turns the last bone by 90°. This is done about the letter of the up axis and about that of the side axis, in both directions. The drift is the largest distance between a joint and the place where carried frames would put it, turned alike, relative to the length of the segment. The first joint turns the segment as a whole, so its own roll does not count. Only segments of three joints or more are measured. A fault of one joint alone belongs to axis.up, axis.aim and axis.uniform; this rule reports what adds up over two joints or more.',
  remedy: 'Turn the frames of the segment to one aim axis and one up axis.',
  source: 'common practice; carried frames: Bishop 1975',
  limits: {
    drift: limit(2, '% of segment', 'distance of a joint of the curled segment from its place'),
  },
  yieldsTo: [
    { to: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.end'], on: 'joints' },
    { to: ['chain.direction'], on: 'joints' },
    ...MIRRORED_OR_SKEWED,
  ],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const all = curls(facts);
    if (all.length === 0) return notApplicable('no segment has three joints');
    const findings = findingsOf(all, (curl) => {
      const { joints, letter, degrees, worst, drift, straying } = curl;
      const [first = -1, last = -1] = [joints[0], joints.at(-1)];
      const percent = 100 * drift;
      // One joint within its own limit is within it here too: only what adds up is a fault.
      if (percent <= limits.drift || straying.length < 2) return null;
      return {
        level: 'error',
        place: { kind: 'joint', joint: first },
        ...against(percent, limits.drift, '% of segment'),
        joints,
        evidence: [line('curled', curl.own), line('should be', curl.carried)],
        details: { first, last, letter, degrees, worst },
      };
    });
    return judged('segments', all.length, findings);
  },
  say: ({ details, measured, limit }, words) => ({
    message: `${curling(details, words)} by ${words.percent(measured)} of the segment's length at ${words.joint(details.worst)} (limit ${limit} %).`,
    remedy:
      'Turn the frames of these joints to one aim axis and one up axis. Their small rolls add up.',
  }),
  consequence: ({ details, measured, limit }, words) =>
    `${curling(details, words)} by ${words.percent(measured)} of the segment's length (limit ${limit} %).`,
});

interface Details {
  readonly first: number;
  readonly last: number;
  readonly letter: Letter;
  readonly degrees: number;
  readonly worst: number;
}

function curling({ first, last, letter, degrees }: Details, words: Words): string {
  return `Turning every joint from ${words.joint(first)} to ${words.joint(last)} by ${words.degrees(degrees)} about ${letter} curls them out of their plane,`;
}
