import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { boneLengths } from '../../src/measure/bones.js';
import { skinMass } from '../../src/measure/skin-mass.js';

/** A bone of no length has no direction, and nobody can pick its joints apart. */
export const chainLength = rule({
  id: 'chain.length',
  level: 'warning',
  title: 'skin-moving joints on top of each other',
  why: 'Two joints in one spot have no bone between them: the first aims nowhere, and turning one looks like turning the other.',
  formula:
    'Distance in the bind pose from a joint to its parent, relative to size, where both move skin.',
  remedy:
    'Move one of the joints to where the form bends, or take it out and give its weights to the other.',
  source: 'common practice',
  limits: {
    length: { default: 0.1, unit: '% of size', tells: 'bone between two skin-moving joints' },
  },
  check(facts, limits) {
    const extent = size(facts);
    const { moves, hasMesh } = skinMass(facts);
    if (!hasMesh || !(extent > 0)) return notApplicable('the rig moves no mesh');
    const { parent } = facts.rig.joints;
    const lengths = boneLengths(facts);
    const bones = Array.from(parent).flatMap((above, joint) => {
      return above !== -1 && moves[joint] === 1 && moves[above] === 1 ? [{ joint, above }] : [];
    });
    const findings = bones.flatMap(({ joint, above }) => {
      const percent = (100 * (lengths[joint] ?? 0)) / extent;
      const place = bindPose(facts).places[joint];
      if (percent > limits.length) return [];
      return [
        {
          level: 'warning' as const,
          place: { kind: 'joint' as const, joint },
          measured: percent,
          limit: limits.length,
          unit: '% of size' as const,
          evidence:
            place === undefined
              ? []
              : [{ kind: 'point' as const, label: 'both joints', at: place }],
          details: { joint, above },
        },
      ];
    });
    return judged('joints', bones.length, findings);
  },
  say(finding, words) {
    const { joint, above } = finding.details;
    return {
      message: `${words.joint(joint)} lies on its parent ${words.joint(above)}: the bone between them is ${words.ofSize(finding.measured)} long (at least ${finding.limit} % expected).`,
      remedy:
        'Move one of them to where the form bends; or, where two chains begin here, give the first bone of one a little length; or take one out and give its weights to the other.',
    };
  },
});
