import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { pairs } from '../../src/measure/pairs.js';
import { skinMass } from '../../src/measure/skin-mass.js';
import { gatherSpots } from '../../src/measure/skin-spots.js';
import { wrongSideIslands } from '../../src/measure/wrong-side-skin.js';

/** Left moves left. */
export const skinSide = rule({
  id: 'skin.side',
  level: 'warning',
  title: "a spot of skin of one side's joint past the midline",
  why: 'Lifting one arm tugs at the other side of the body. Mirrored painting leaves such spots when the model was not quite in the middle.',
  formula:
    "Islands of vertices that a paired joint moves by over 5 %, joined by mesh edges over seams and primitives, apart from the joint's largest one, lying wholly past the midline by over 1 % of size. Only on a mesh that is symmetric about it; a whole piece of mesh that the joint moves most is a prop, and is not told.",
  remedy: 'Give these vertices to the partner of the joint.',
  source: 'common practice',
  limits: { vertices: { default: 0, unit: 'vertices', tells: 'vertices in such an island' } },
  yieldsTo: [{ to: ['skin.stray'], on: 'joints' }],
  check(facts, limits) {
    const islands = wrongSideIslands(facts);
    if (islands === null) return notApplicable('the mesh is not symmetric about its middle');
    const { moves } = skinMass(facts);
    const sided = pairs(facts)
      .list.flatMap(({ left, right }) => [left, right])
      .filter((joint) => moves[joint] === 1);
    if (sided.length === 0) return notApplicable('the rig has no pairs that move skin');
    const past = islands.filter(({ vertices }) => vertices.length > limits.vertices);
    const findings = gatherSpots(past).map((spots) => ({
      level: 'warning' as const,
      place: { kind: 'joint' as const, joint: spots.joint },
      measured: spots.vertices.length,
      limit: limits.vertices,
      unit: 'vertices' as const,
      vertices: spots.vertices.slice(0, 3),
      evidence: [{ kind: 'point' as const, label: 'skin on the wrong side', at: spots.at }],
      details: spots,
    }));
    return judged('joints', sided.length, findings, new Set(past.map(({ joint }) => joint)).size);
  },
  say(finding, words) {
    const { joint, part, away, nearest, spots } = finding.details;
    const inSpots = spots > 1 ? ` in ${words.count(spots, 'spot')}` : '';
    return {
      message: `${words.joint(joint)} moves ${words.count(finding.measured, 'vertex')} of ${words.part(part)}${inSpots} that lie ${words.length(away)} or more past the midline (limit ${finding.limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy: `Give them to ${words.joint(nearest)}.`,
    };
  },
});
