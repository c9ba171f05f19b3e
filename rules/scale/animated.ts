import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { clipScales } from '../../src/measure/clip-scale.js';

/** Scaling clips travel badly: many engines drop them. */
export const scaleAnimated = rule({
  id: 'scale.animated',
  level: 'warning',
  milder: 'note',
  title: 'a clip that scales a joint',
  why: 'Engines often drop scale keys or keep only equal ones, and unequal scale above a turn skews what hangs below.',
  formula:
    'Scale of a joint at every key of every clip and between keys, against its stored scale: unequal when its largest factor over its smallest, less 1, passes the limit (a warning), else by how far it is from the stored scale (a note). The worst clip and time of each joint.',
  remedy:
    'Key turns and travel only; squash and stretch with joints of their own where the engine keeps scale.',
  source: 'common practice',
  limits: { scale: { default: 0.1, unit: '%', tells: 'scale in a clip against the stored scale' } },
  check(facts, limits) {
    if (facts.rig.clips.length === 0)
      return notApplicable('the asset has no clip that poses the rig');
    const findings = clipScales(facts).flatMap((item) => {
      const unequal = item.uneven > limits.scale;
      if (!unequal && item.change <= limits.scale) return [];
      return [
        {
          level: unequal ? ('warning' as const) : ('note' as const),
          place: { kind: 'joint' as const, joint: item.joint },
          measured: unequal ? item.uneven : item.change,
          limit: limits.scale,
          unit: '%' as const,
          details: { ...item, unequal },
        },
      ];
    });
    return judged('joints', facts.rig.joints.count, findings);
  },
  say(finding, words) {
    const { joint, clip, time, unequal } = finding.details;
    const how = unequal ? 'unequally, by' : 'by';
    return {
      message: `The clip "${clip}" scales ${words.joint(joint)} ${how} ${words.percent(finding.measured)} at ${words.number(time)} s (limit ${finding.limit} %).`,
      remedy: 'Take the scale keys out, or make sure that every target of this clip keeps them.',
    };
  },
});
