import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { stretches } from '../../src/measure/stretch.js';

/** Bones turn; they do not stretch. */
export const chainStretch = rule({
  id: 'chain.stretch',
  level: 'warning',
  title: 'a clip that moves a joint off its place',
  why: 'A bone that changes length pulls the skin after it, and the clip fits no other character. Most such keys are left from a slip of the hand.',
  formula:
    'Bone length at every key of every clip and between keys, against its length in the bind pose, relative to the larger of that length and 2 % of size. Skin-moving joints below the body root; the worst clip and time of each.',
  remedy: 'Take the translation keys off the joint; let only the body root and carriers travel.',
  source: 'common practice',
  limits: { stretch: { default: 2, unit: '% of bone', tells: 'change of bone length in a clip' } },
  check(facts, limits) {
    if (facts.rig.clips.length === 0)
      return notApplicable('the asset has no clip that poses the rig');
    const { watched, list } = stretches(facts);
    const findings = list.flatMap((item) => {
      if (item.percent <= limits.stretch) return [];
      return [
        {
          level: 'warning' as const,
          place: { kind: 'joint' as const, joint: item.joint },
          measured: item.percent,
          limit: limits.stretch,
          unit: '% of bone' as const,
          details: item,
        },
      ];
    });
    return judged('joints', watched, findings);
  },
  say(finding, words) {
    const { joint, clip, time, built, stretched } = finding.details;
    const verb = stretched > built ? 'stretches' : 'shortens';
    return {
      message: `The clip "${clip}" ${verb} the bone to ${words.joint(joint)} from ${words.length(built)} to ${words.length(stretched)} at ${words.number(time)} s, ${words.percent(finding.measured)} (limit ${finding.limit} %).`,
      remedy: `Take the translation keys off ${words.joint(joint)}; or, if it is meant to travel by itself, hang it on the joint whose flesh it is.`,
    };
  },
});
