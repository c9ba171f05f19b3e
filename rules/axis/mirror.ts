import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { mirror } from '../../src/measure/mirror.js';
import { byLimb } from '../../src/measure/pair-limbs.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** Left and right follow one scheme, so that a pose can be mirrored by rule. */
export const axisMirror = rule({
  id: 'axis.mirror',
  level: 'warning',
  title: "a pair off its rig's mirror scheme",
  why: 'Poses are mirrored by copying values from one side to the other by one rule. A pair that follows another rule comes out wrong, pose after pose.',
  formula:
    'With S = diag(-1, 1, 1), the right frame should equal S R_left with all three axes turned round, or with one of them turned round, or R_left itself: the scheme that most pairs follow within 5°. Measured is the angle from it. Only pairs that stand mirrored are asked; a limb off as a whole is told once, at its first pair.',
  remedy: 'Mirror the frame of the better side to the other by the scheme of the rig.',
  source: 'common practice; the reflection algebra is elementary',
  limits: {
    turn: { default: 5, unit: 'degrees', tells: 'right frame against the mirrored left one' },
  },
  yieldsTo: [
    { to: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.end'], on: 'joints' },
    ...MIRRORED_OR_SKEWED,
  ],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const { scheme, agree, pairs } = mirror(facts);
    if (pairs.length === 0) return notApplicable('the rig has no pairs that stand mirrored');
    if (scheme === null)
      return notApplicable(`no half of the ${pairs.length} pairs follow one scheme`);
    const off = pairs.filter(({ miss }) => miss[scheme] > limits.turn);
    const findings = [...byLimb(facts, off).entries()].map(([{ pair, miss }, below]) => {
      const place = bindPose(facts).places[pair.right];
      return {
        level: 'warning' as const,
        place: { kind: 'joint' as const, joint: pair.right },
        measured: miss[scheme],
        limit: limits.turn,
        unit: 'degrees' as const,
        joints: [pair, ...below.map((item) => item.pair)].flatMap(({ left, right }) => [
          left,
          right,
        ]),
        counts: { looked: pairs.length, short: 1 + below.length },
        evidence:
          place === undefined ? [] : [{ kind: 'point' as const, label: 'right joint', at: place }],
        details: { pair, scheme, agree, of: pairs.length, below: below.length },
      };
    });
    return judged('pairs', pairs.length, findings, off.length);
  },
  say(finding, words) {
    const { pair, scheme, agree, of, below } = finding.details;
    const more = below === 0 ? '' : `, and so are ${words.count(below, 'pair')} below them`;
    return {
      message: `The frames of ${words.joint(pair.left)} and ${words.joint(pair.right)} are ${words.degrees(finding.measured)} off the mirror scheme of the rig${more} (${scheme}, followed by ${agree} of ${words.count(of, 'pair')}; limit ${words.degrees(finding.limit ?? 0)}).`,
      remedy: `Mirror the frame of ${words.joint(pair.left)} to ${words.joint(pair.right)}, or the other way, by that scheme.`,
    };
  },
  consequence: (finding, words) =>
    `Its pair is ${words.degrees(finding.measured)} off the mirror scheme of the rig (limit ${words.degrees(finding.limit ?? 0)}).`,
});
