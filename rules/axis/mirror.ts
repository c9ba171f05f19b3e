import {
  atJoints,
  findingsOf,
  judged,
  notApplicable,
  worstFinding,
} from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { SCHEME_WORDS } from '../../src/measure/mirror-schemes.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import {
  heldScheme,
  leastMiss,
  type MirrorScheme,
  mirror,
} from '../../src/measure/skeleton/mirror.js';
import type { Pair } from '../../src/measure/skeleton/pairs.js';
import { against, limit, point } from '../parts.js';
import { MIRRORED_OR_SKEWED, notAimed } from './aimed-only.js';

/** Left and right follow one scheme, so that a pose can be mirrored by rule. */
export const axisMirror = rule({
  id: 'axis.mirror',
  level: 'warning',
  title: 'a pair that does not follow the mirror scheme of its rig',
  why: 'A program mirrors a pose by copying values from one side to the other, by one scheme for all pairs. A pair that follows another scheme is posed wrongly every time.',
  formula:
    'With S = diag(-1, 1, 1), the right frame should equal S R_left with all three axes reversed, or with one of them reversed, or R_left itself. Each pair is compared with the scheme that the standard asks for, else with the one that it is nearest to; the measure is the angle between the two. Only pairs that are known from the mapping or the names, that stand mirrored and whose bones mirror within 3° are compared. Each rig has one finding, at its worst pair.',
  remedy:
    'Mirror the frame of the better side to the other by the scheme of the rig or the standard.',
  source: 'common practice',
  limits: { turn: limit(10, 'degrees', 'angle between the right frame and the mirrored left one') },
  yieldsTo: [
    { to: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.end'], on: 'joints' },
    ...MIRRORED_OR_SKEWED,
  ],
  check(facts, limits) {
    const unfit = notAimed(facts);
    if (unfit !== null) return unfit;
    const { pairs } = mirror(facts);
    const [scheme, isAsked] = [heldScheme(facts), facts.wanted.mirror !== undefined];
    if (pairs.length === 0) return notApplicable('the rig has no pairs whose bones mirror');
    const findings = findingsOf(pairs, (compared) => {
      const { left, right } = compared.pair;
      const measured = isAsked && scheme !== null ? compared.miss[scheme] : leastMiss(compared);
      if (measured <= limits.turn) return null;
      const details: Details = {
        pair: compared.pair,
        scheme,
        isAsked,
        others: [],
      };
      const at = bonePose(facts).places[right] ?? [0, 0, 0];
      return {
        level: 'warning',
        place: { kind: 'joint', joint: right },
        ...against(measured, limits.turn, 'degrees'),
        joints: [left, right],
        evidence: [point('right joint', at)],
        details,
      };
    });
    return judged('pairs', pairs.length, findings);
  },
  gather(facts, findings) {
    const worst = worstFinding(findings);
    if (worst === undefined) return [];
    const others = findings.filter((other) => other !== worst).map(({ details }) => details.pair);
    const joints = findings.flatMap((finding) => finding.joints ?? []);
    const finding = {
      ...worst,
      ...atJoints(joints, worst.details.pair.right),
      measures: findings.flatMap(({ measured, joints: both = [] }) => both.map(() => measured)),
      counts: { looked: mirror(facts).pairs.length, short: findings.length },
      details: { ...worst.details, others },
    };
    return [{ finding, from: findings }];
  },
  say({ details: { pair, scheme, isAsked, others }, measured, limit, counts }, words) {
    const more =
      others.length === 0
        ? ''
        : `; the same is true of ${words.joints(others.map(({ right }) => right))} and their partners`;
    let missed = 'any mirror scheme, and the rig has none that half of its pairs follow';
    let wanted = 'one scheme for all pairs';
    if (scheme !== null) {
      missed = isAsked
        ? `the mirror scheme that the standard asks for, ${scheme}`
        : 'the mirror scheme that it is nearest to';
      wanted = isAsked
        ? `the scheme of the standard: the right frame is ${SCHEME_WORDS[scheme]}`
        : `the scheme of the rig (${scheme})`;
    }
    const [left, right] = [words.joint(pair.left), words.joint(pair.right)];
    return {
      message: `The frames of ${left} and ${right} are ${words.degrees(measured)} off ${missed} (limit ${words.degrees(limit ?? 0)})${more} (${words.count(counts?.looked ?? 1, 'pair')} compared).`,
      remedy: `Mirror the frame of ${left} to ${right}, or the other way, by ${wanted}. Do the same with the other pairs.`,
    };
  },
  consequence: ({ measured, limit, details: { isAsked } }, words) =>
    `Its pair is ${words.degrees(measured)} off the mirror scheme that ${isAsked ? 'the standard asks for' : 'it is nearest to'} (limit ${words.degrees(limit ?? 0)}).`,
});

interface Details {
  readonly pair: Pair;
  /** The standard's, else the rig's. */
  readonly scheme: MirrorScheme | null;
  readonly isAsked: boolean;
  readonly others: readonly Pair[];
}
