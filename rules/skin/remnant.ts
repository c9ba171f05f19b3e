import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { remnantsFound } from '../../src/measure/skin/remnant-vertices.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, point, sameOf } from '../parts.js';

/** Small weights left on a control pull at the skin whenever it is moved. */
export const skinRemnant = rule({
  id: 'skin.remnant',
  level: 'warning',
  title: 'small weights left on a carrier or control joint',
  why: 'A ground root or a control should carry the body and not bend skin. When small weights are left on it, some vertices lag behind whenever it moves, and the reason is hard to see.',
  formula:
    'Joints that have under 0.5 % of the skin and no weight above 0.7, in two cases. In one, the joint is above the body: nothing above it moves skin, and over ten times as much skin hangs below it. In the other, nothing hangs on the joint, and it is at least 5 % of the mesh away from all its own vertices. Weights under 0.01 do not count. Each rig has one finding.',
  remedy: 'Clear these weights and normalise the rest.',
  source: 'common practice',
  limits: { vertices: limit(0, 'vertices', 'vertices with weights left on such joints') },
  check(facts, limits) {
    if (!skinMass(facts).hasMesh || !(size(facts) > 0))
      return notApplicable('the rig moves no mesh');
    const found = remnantsFound(facts);
    const [worst] = [...found].sort((a, b) => b.vertices - a.vertices);
    const total = found.reduce((sum, { vertices }) => sum + vertices, 0);
    const looked = facts.rig.joints.count;
    if (worst === undefined || total <= limits.vertices) return judged('joints', looked, []);
    const joints = found.map(({ joint }) => joint);
    const at = bindPose(facts).places[worst.joint] ?? [0, 0, 0];
    return judgedAsOne('joints', looked, {
      ...atJoints(joints, worst.joint),
      level: 'warning',
      measures: found.map(({ vertices }) => vertices),
      ...against(total, limits.vertices, 'vertices'),
      vertices: worst.first,
      evidence: [point('joint', at)],
      details: { worst, others: found.filter((each) => each !== worst) },
    });
  },
  say({ details: { worst, others }, limit }, words) {
    const { joint, vertices, part, top, share, first } = worst;
    return {
      message: `${words.joint(joint)} only carries or controls, but it still moves ${words.count(vertices, 'vertex')} of ${words.part(part)} a little, with weights up to ${words.number(top)}, ${words.percent(100 * share)} of the skin (limit ${words.count(limit ?? 0, 'vertex')}; ${words.vertices(first)})${sameOf(others, words)}.`,
      remedy: 'Clear these weights and normalise the rest.',
    };
  },
});
