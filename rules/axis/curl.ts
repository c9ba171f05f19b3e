import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { curls } from '../../src/measure/skeleton/curl.js';
import { against, limit, line } from '../parts.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The proof of the frames: equal turns curl a segment in its plane. */
export const axisCurl = rule({
  id: 'axis.curl',
  level: 'error',
  title: 'a curl that leaves its plane',
  why: 'When an animator picks a whole tail and turns it about one axis, it must curl like a watch spring. When the frames differ, it twists like a corkscrew.',
  formula:
    'Each joint of a segment, except the first, is turned by 90° / (n - 1) about its own up axis, then about its side axis. The drift is the largest distance between a joint and the place where carried frames would put it, relative to the length of the segment. Only segments of three joints or more are measured. A fault of one joint alone belongs to axis.up and axis.aim; this rule reports what adds up over two joints or more.',
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
    const findings = findingsOf(all, ({ joints, about, worst, drift, straying, curled, ideal }) => {
      const [first = -1, last = -1] = [joints[0], joints.at(-1)];
      const percent = 100 * drift;
      // One joint within its own limit is within it here too: only what adds up is a fault.
      if (percent <= limits.drift || straying.length < 2) return null;
      return {
        level: 'error',
        place: { kind: 'joint', joint: first },
        ...against(percent, limits.drift, '% of segment'),
        joints,
        evidence: [line('curled', curled), line('should be', ideal)],
        details: { first, last, about, worst },
      };
    });
    return judged('segments', all.length, findings);
  },
  say: ({ details: { first, last, about, worst }, measured, limit }, words) => ({
    message: `Curling ${words.joint(first)} to ${words.joint(last)} by equal turns about the ${about} axis leaves its plane by ${words.percent(measured)} of the segment's length at ${words.joint(worst)} (limit ${limit} %).`,
    remedy:
      'Turn the frames of these joints to one aim axis and one up axis. Their small rolls add up.',
  }),
  consequence: ({ details: { first, last }, measured, limit }, words) =>
    `Curling ${words.joint(first)} to ${words.joint(last)} leaves its plane by ${words.percent(measured)} of the segment's length (limit ${limit} %).`,
});
