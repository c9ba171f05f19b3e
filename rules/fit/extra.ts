import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { extraJoints } from '../../src/measure/fit/extra.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit } from '../parts.js';
import { heldTo, whyNotCompared } from './with-approved.js';

/** What no clip of the library knows stays stiff while the rest moves. */
export const fitExtra = rule({
  id: 'fit.extra',
  level: 'warning',
  milder: 'note',
  title: 'joints that the approved rig does not have',
  why: 'No clip that was made for the approved rig poses them. Skin that they move stays stiff while the rest of the body moves.',
  formula:
    'The joints that answer to none of the approved rig, neither by name nor by place. A joint that was put between two others is told by fit.parent, and one that stands in the place of a missing joint by fit.missing. The finding is a warning when any of the joints moves skin, else a note. A rig for which the approved asset has none is a warning.',
  remedy:
    'Leave the joints out of the export and give their weights to the joints of the approved rig, or have the approved rig extended.',
  source: 'common practice',
  limits: { joints: limit(0, 'joints', 'joints that the approved rig does not have') },
  onApproved: true,
  check(facts, limits) {
    const { count } = facts.rig.joints;
    const asset = facts.approved?.asset.name ?? '';
    if (facts.approved?.rig === null) {
      if (count === 0) return notApplicable('the rig has no joints');
      return judgedAsOne<Details>('joints', count, {
        level: 'warning',
        place: { kind: 'rig' },
        aspect: 'rig',
        ...against(count, limits.joints, 'joints'),
        counts: { looked: count, short: count },
        details: { kind: 'rig', name: facts.rig.name, asset },
      });
    }
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const extra = extraJoints(facts);
    if (extra.length <= limits.joints) return judged('joints', count, []);
    const moving = extra.filter((joint) => skinMass(facts).moves[joint] === 1);
    return judgedAsOne<Details>('joints', count, {
      ...atJoints(extra, moving[0]),
      level: moving.length > 0 ? 'warning' : 'note',
      ...against(extra.length, limits.joints, 'joints'),
      details: { kind: 'joints', extra, moving },
    });
  },
  say({ details, limit }, words) {
    const held = heldTo(limit ?? 0, words);
    if (details.kind === 'rig')
      return {
        message: `The approved asset ${details.asset} has no rig for "${details.name}", whose joints are all new${held}.`,
        remedy:
          'Leave this rig out of the export, or have it approved. If it is an approved rig, give its joints the approved names.',
      };
    const { extra, moving } = details;
    const [one, all] = [extra.length === 1, moving.length === extra.length];
    const skin =
      moving.length === 0
        ? `${one ? 'it moves' : 'they move'} no skin`
        : one
          ? 'it moves skin'
          : all
            ? 'they move skin'
            : `${moving.length} of them ${moving.length === 1 ? 'moves' : 'move'} skin`;
    return {
      message: `The approved rig does not have ${words.joints(extra)}; ${skin}${held}.`,
      remedy:
        moving.length === 0
          ? `Leave ${one ? 'it' : 'them'} out of the export.`
          : `Give ${one ? 'its' : 'their'} weights to joints of the approved rig and leave ${one ? 'it' : 'them'} out of the export, or have the approved rig extended.`,
    };
  },
});

type Details =
  | { readonly kind: 'rig'; readonly name: string; readonly asset: string }
  | {
      readonly kind: 'joints';
      readonly extra: readonly number[];
      /** Those that move skin. */
      readonly moving: readonly number[];
    };
