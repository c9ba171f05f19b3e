import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import { skinMass } from '../../src/measure/skin-mass.js';
import { gatherSpots } from '../../src/measure/skin-spots.js';
import { strayIslands } from '../../src/measure/stray-skin.js';

/** A spot of skin on a joint across the body flies along with it. */
export const skinStray = rule({
  id: 'skin.stray',
  level: 'warning',
  title: 'a spot of skin painted to a joint far away',
  why: 'When the joint turns, the spot flies after it and drags a spike out of the body. Painters leave such spots when a brush slips through.',
  formula:
    "Islands of vertices that a joint moves by over 5 %, joined by mesh edges over seams and primitives, apart from the joint's largest one: told when every vertex is nearest to a bone of another family that moves skin (not the joint, its parent or child), over 3 x as far from the joint's own bones as from that one, and over 10 % of size away, and when weight x distance is over 1 % of size somewhere in it. The bone of an end joint runs to the far end of its largest island. A whole piece of mesh that the joint moves most is a prop, and is not told.",
  remedy: 'Give these vertices to the joint that is nearest to them.',
  source: 'common practice',
  limits: { vertices: { default: 0, unit: 'vertices', tells: 'vertices in such an island' } },
  check(facts, limits) {
    const { hasMesh, moves } = skinMass(facts);
    const moving = moves.reduce((sum, value) => sum + value, 0);
    if (!hasMesh || moving === 0 || !(size(facts) > 0))
      return notApplicable('the rig moves no mesh');
    const stray = strayIslands(facts).filter(({ vertices }) => vertices.length > limits.vertices);
    const findings = gatherSpots(stray).map((spots) => ({
      level: 'warning' as const,
      place: { kind: 'joint' as const, joint: spots.joint },
      measured: spots.vertices.length,
      limit: limits.vertices,
      unit: 'vertices' as const,
      vertices: spots.vertices.slice(0, 3),
      evidence: [{ kind: 'point' as const, label: 'stray skin', at: spots.at }],
      details: spots,
    }));
    return judged('joints', moving, findings, new Set(stray.map(({ joint }) => joint)).size);
  },
  say(finding, words) {
    const { joint, part, away, nearest, spots } = finding.details;
    const inSpots = spots > 1 ? ` in ${words.count(spots, 'spot')}` : '';
    return {
      message: `${words.joint(joint)} moves ${words.count(finding.measured, 'vertex')} of ${words.part(part)}${inSpots} that lie ${words.length(away)} or more from its bones, beside ${words.joint(nearest)} (limit ${finding.limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy: `Give them to ${words.joint(nearest)}.`,
    };
  },
});
