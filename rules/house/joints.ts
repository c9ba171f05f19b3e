import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { against } from '../parts.js';

/** What a house can afford of a whole rig; `skin.budget` has what an engine takes of one skin. */
export const houseJoints = rule({
  id: 'house.joints',
  level: 'warning',
  title: 'more joints in a rig than the standard allows',
  why: 'Every joint is posed and stored in every frame of every clip. A house counts on a number of them.',
  formula: 'The number of joints in the rig, over all its skins, each once.',
  remedy: 'Leave out joints that move nothing, or join joints that move the same skin.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => contract?.joints?.most !== undefined,
  check({ rig, wanted }) {
    const most = wanted.contract?.joints?.most;
    if (most === undefined) return notApplicable('the standard has no largest number of joints');
    const { count } = rig.joints;
    if (count <= most) return judged('rigs', 1, []);
    return judgedAsOne('rigs', 1, {
      level: 'warning',
      place: { kind: 'rig' },
      ...against(count, most, 'joints'),
      details: { most },
    });
  },
  say: ({ measured, details: { most } }, words) => ({
    message: `The rig has ${words.count(measured, 'joint')}, more than the standard allows (limit ${most}).`,
    remedy: `Leave out at least ${words.count(measured - most, 'joint')}: first those that move nothing.`,
  }),
});
