import { LEAST_PERCENT } from '../../src/kit/figures.js';
import { atJoints, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { boneLengths } from '../../src/measure/skeleton/bones.js';
import { rigidJoints } from '../../src/measure/skin/rigid-skin.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, point } from '../parts.js';

/** A bone of no length has no direction, and nobody can pick its joints apart. */
export const chainLength = rule({
  id: 'chain.length',
  level: 'warning',
  title: 'joints that move skin, in the same place',
  why: 'Two joints in one place have no bone between them. The first has nothing to aim at, and a turn of one looks like a turn of the other.',
  formula:
    'The distance in the bind pose from a joint to its parent, relative to size, where both move skin. There is a finding only when every child that moves skin lies on its parent: where only some do, a second chain begins at a shared point. Rigid pieces may share a pivot. Each parent has one finding.',
  remedy:
    'Move one of the joints to where the form bends, or remove it and give its weights to the other.',
  source: 'common practice',
  limits: { length: limit(0.1, '% of size', 'shortest bone between two joints that move skin') },
  check(facts, limits) {
    const extent = size(facts);
    const { moves, hasMesh } = skinMass(facts);
    if (!hasMesh || !(extent > 0)) return notApplicable('the rig moves no mesh');
    const lengths = boneLengths(facts);
    const { apart, places } = bonePose(facts);
    const rigid = rigidJoints(facts);
    const parents = facts.rig.joints.children.flatMap((children, above) => {
      const below = children.filter((joint) => moves[joint] === 1 && apart[joint] === 0);
      // Two rigid pieces may turn about one pivot: a lever on its base.
      if (rigid[above] === 1 && below.every((joint) => rigid[joint] === 1)) return [];
      return moves[above] === 1 && below.length > 0 ? [{ above, below }] : [];
    });
    const percent = (joint: number): number => (100 * (lengths[joint] ?? 0)) / extent;
    const findings = findingsOf(parents, ({ above, below }) => {
      const measures = below.map(percent);
      const longest = measures.reduce((most, value) => Math.max(most, value), 0);
      if (longest > limits.length) return null;
      const at = places[below[0] ?? -1] ?? [0, 0, 0];
      return {
        ...atJoints(below),
        level: 'warning',
        measures,
        anchor: { kind: 'joint', joint: above },
        ...against(longest, limits.length, '% of size'),
        evidence: [point('the joints', at)],
        details: { below, above },
      };
    });
    return judged('joints', parents.flatMap(({ below }) => below).length, findings);
  },
  say({ details: { below, above }, measured, limit }, words) {
    const [lies, bone, is, has] =
      below.length === 1
        ? ['lies on its parent', 'the bone between them', 'is', 'has']
        : ['lie on their parent', 'the bones between them', 'are', 'have'];
    const long =
      measured < LEAST_PERCENT ? `${has} no length` : `${is} ${words.ofSize(measured)} long`;
    return {
      message: `${words.joints(below)} ${lies} ${words.joint(above)}: ${bone} ${long} (limit: at least ${limit} % of size).`,
      remedy:
        'Move one of them to where the form bends, or remove one and give its weights to the other.',
    };
  },
});
