import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, mostWords } from '../parts.js';

/** A joint that moves nothing is weight in every file and a row in every list. */
export const skinIdle = rule({
  id: 'skin.idle',
  level: 'note',
  title: 'a joint that moves nothing',
  why: 'Each such joint is stored, keyed, sent and computed in every frame, and animators turn it and see nothing happen.',
  formula:
    'Joints that have no weight on any vertex, with no joint below them that has any. End joints do not count. Each rig has one finding, at the top of the first branch.',
  remedy: 'Leave the joints out of the skin, or give them the skin they were meant for.',
  source: 'common practice',
  limits: { joints: limit(0, 'joints', 'joints that move nothing') },
  check(facts, limits) {
    const { joints } = facts.rig;
    const { movesBelow, hasMesh } = skinMass(facts);
    if (!hasMesh) return notApplicable('no mesh uses the skin');
    if (!movesBelow.includes(1)) return notApplicable('no joint moves any vertex');
    const inner = joints.children.flatMap(({ length }, joint) => (length > 0 ? [joint] : []));
    const idle = inner.filter((joint) => movesBelow[joint] === 0);
    if (idle.length <= limits.joints) return judged('joints', inner.length, []);
    const tops = idle.filter((joint) => movesBelow[joints.parent[joint] ?? -1] !== 0);
    return judgedAsOne('joints', inner.length, {
      ...atJoints(idle, tops[0]),
      level: 'note',
      ...against(idle.length, limits.joints, 'joints'),
      details: { idle },
    });
  },
  say({ details: { idle }, measured, limit }, words) {
    const [verb, them] = measured === 1 ? ['moves', 'it'] : ['move', 'them'];
    return {
      message: `${words.joints(idle)} ${verb} no vertex, nor does anything that hangs on ${them} (${words.count(measured, 'such joint')} in the rig, ${mostWords(limit)}).`,
      remedy: `Leave ${them} out of the skin, or give ${them} the skin that was meant.`,
    };
  },
});
