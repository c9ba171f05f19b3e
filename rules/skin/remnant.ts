import { atJoints, judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { remnantsFound } from '../../src/measure/skin/remnant-vertices.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';

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
  limits: {
    vertices: { default: 0, unit: 'vertices', tells: 'vertices with weights left on such joints' },
  },
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
      measured: total,
      limit: limits.vertices,
      unit: 'vertices',
      counts: { looked, short: joints.length },
      vertices: worst.first,
      evidence: [{ kind: 'point', label: 'joint', at }],
      details: { worst, found },
    });
  },
  say(finding, words) {
    const { worst, found } = finding.details;
    const others = found.filter((item) => item !== worst).map(({ joint }) => joint);
    const also = others.length === 0 ? '' : `; the same is true of ${words.joints(others)}`;
    return {
      message: `${words.joint(worst.joint)} only carries or controls, but it still moves ${words.count(worst.vertices, 'vertex')} of ${words.part(worst.part)} a little, with weights up to ${words.number(worst.top)}, ${words.percent(100 * worst.share)} of the skin (limit ${words.count(finding.limit ?? 0, 'vertex')}; ${words.vertices(worst.first)})${also}.`,
      remedy: 'Clear these weights and normalise the rest.',
    };
  },
});
