import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { curls } from '../../src/measure/skeleton/curl.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** The proof of the frames: equal turns curl a segment in its plane. */
export const axisCurl = rule({
  id: 'axis.curl',
  level: 'error',
  title: 'a curl that leaves its plane',
  why: 'Picking a tail and turning all of it about one axis must curl it like a watch spring. When frames differ, the tail corkscrews.',
  formula:
    'Each joint of a segment after its first is turned by 90° / (n - 1) about its own up axis, then about its side axis; drift is the largest distance of a joint from where carried frames would take it, relative to the length of the segment. Segments of three joints or more. One joint alone is judged by axis.up and axis.aim: told is what adds up over two or more.',
  remedy: 'Bring the frames of the segment to one aim and one up axis.',
  source: 'common practice; carried frames: Bishop 1975',
  limits: {
    drift: { default: 2, unit: '% of segment', tells: 'joint of the curled segment off its place' },
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
      const { joints, about, worst } = curl;
      const [first = -1, last = -1] = [joints[0], joints.at(-1)];
      const percent = 100 * curl.drift;
      // One joint within its own limit is within it here too; what is told is what adds up.
      if (percent <= limits.drift || curl.straying.length < 2) return null;
      return {
        level: 'error',
        place: { kind: 'joint', joint: first },
        measured: percent,
        limit: limits.drift,
        unit: '% of segment',
        joints,
        evidence: [
          { kind: 'line', label: 'curled', points: curl.curled },
          { kind: 'line', label: 'should be', points: curl.ideal },
        ],
        details: { first, last, about, worst },
      };
    });
    return judged('segments', all.length, findings);
  },
  say(finding, words) {
    const { first, last, about, worst } = finding.details;
    return {
      message: `Curling ${words.joint(first)} to ${words.joint(last)} by equal turns about the ${about} axis leaves its plane by ${words.percent(finding.measured)} of the segment's length at ${words.joint(worst)} (limit ${finding.limit} %).`,
      remedy:
        'Bring the frames of these joints to one aim and one up axis; the small rolls along them add up.',
    };
  },
  consequence: (finding, words) =>
    `Curling ${words.joint(finding.details.first)} to ${words.joint(finding.details.last)} leaves its plane by ${words.percent(finding.measured)} of the segment's length (limit ${finding.limit} %).`,
});
