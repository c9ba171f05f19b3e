import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bodyRoot } from '../../src/measure/body-root.js';
import { skinMass } from '../../src/measure/skin-mass.js';

/** One root carries everything: whoever moves the character moves one joint. */
export const rootSingle = rule({
  id: 'root.single',
  level: 'error',
  milder: 'warning',
  title: 'more than one topmost joint in a rig',
  why: 'Moving or turning the root must take the whole body along; what hangs on a second topmost joint stays behind.',
  formula:
    'Topmost joints are the joints with no joint above them. An error when an extra one moves skin, itself or below, or when the joints have no node in common above them; a warning when the extra ones move nothing (control joints left in the export).',
  remedy: 'Parent the extra topmost joints to the root, or leave control joints out of the export.',
  source: 'glTF 2.0, 3.7.3.2 Joint Hierarchy (a common root is a MUST); one root: common practice',
  limits: { joints: { default: 1, unit: 'joints', tells: 'topmost joints in a rig' } },
  check(facts, limits) {
    if (facts.rig.joints.count === 0) return notApplicable('the rig has no joints');
    const { tops, main } = bodyRoot(facts);
    const extra = tops.filter((joint) => joint !== main);
    const { movesBelow } = skinMass(facts);
    const moving = extra.filter((joint) => movesBelow[joint] === 1);
    const apart = !facts.rig.hasCommonRoot;
    const fails = tops.length > limits.joints || apart;
    const findings = fails
      ? [
          {
            level: moving.length > 0 || apart ? ('error' as const) : ('warning' as const),
            place: { kind: 'rig' as const },
            measured: tops.length,
            limit: limits.joints,
            unit: 'joints' as const,
            joints: extra,
            counts: { looked: tops.length, short: extra.length },
            details: { main, extra, moving: moving.length, apart },
          },
        ]
      : [];
    return judged('joints', facts.rig.joints.count, findings, fails ? extra.length : 0);
  },
  say(finding, words) {
    const { main, extra, moving, apart } = finding.details;
    const verb = extra.length === 1 ? 'moves' : 'move';
    const kind =
      moving === 0
        ? `that ${verb} no skin (control joints left in the export?)`
        : moving === extra.length
          ? `that ${verb} skin`
          : `of which ${moving} move skin`;
    const tail = apart
      ? ', and no node stands above them all (glTF 2.0 asks for a common root)'
      : '';
    return {
      message: `The rig has ${finding.measured} topmost joints (limit ${finding.limit}): besides ${words.joint(main)} there ${extra.length === 1 ? 'is' : 'are'} ${extra.length} ${kind}: ${words.joints(extra)}${tail}.`,
      remedy:
        moving === 0
          ? `Leave them out of the export, or parent them to ${words.joint(main)}.`
          : `Parent them to ${words.joint(main)} or to one new root joint, keeping their places.`,
    };
  },
});
