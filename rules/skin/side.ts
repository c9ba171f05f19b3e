import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { gatherSpotTwins, sayMoves, spotFindings } from '../../src/kit/spot-findings.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { gatherSpots } from '../../src/measure/skin/skin-spots.js';
import { wrongSideIslands } from '../../src/measure/skin/stray-skin.js';
import { limit, mostWords } from '../parts.js';

/** Left moves left. */
export const skinSide = rule({
  id: 'skin.side',
  level: 'warning',
  milder: 'note',
  title: 'a spot of skin on the wrong side of the midline',
  why: 'When an animator lifts one arm, the other side of the body moves, too. Mirrored painting leaves such spots when the model is not exactly in the middle.',
  formula:
    "Islands of vertices that a paired joint moves by 1 % or more, joined by mesh edges across seams and primitives. The island at the joint's own bones does not count. In an island that counts, every vertex that the joint moves by over 5 % lies past the midline by over 1 % of size. The finding is a warning where the joint has a weight of 15 % or more in an island, else a note. Skin that is connected with the joint's own skin by weights of 1 % is a gradient and does not count. This is measured only on a mesh that is symmetric about the midline. A whole piece of mesh that the joint moves most is a prop and does not count. Each joint, or pair of twins, has one finding.",
  remedy: 'Give these vertices to the partner of the joint.',
  source: 'common practice',
  limits: {
    vertices: limit(0, 'vertices', 'vertices of one joint in such islands'),
    weight: limit(15, '%', 'largest weight in them: a warning from here'),
  },
  yieldsTo: [{ to: ['skin.stray'], on: 'joints' }],
  check(facts, limits) {
    const islands = wrongSideIslands(facts);
    if (islands === null) return notApplicable('the mesh is not symmetric about its middle');
    const { moves } = skinMass(facts);
    const sided = pairs(facts)
      .list.flatMap(({ left, right }) => [left, right])
      .filter((joint) => moves[joint] === 1);
    if (sided.length === 0) return notApplicable('the rig has no pairs that move skin');
    const spots = gatherSpots(facts, islands).filter(({ vertices }) => vertices > limits.vertices);
    const findings = spotFindings(spots, {
      limit: limits.vertices,
      label: 'skin on the wrong side',
      levelOf: (top) => (top >= limits.weight / 100 ? 'warning' : 'note'),
    });
    return judged('joints', sided.length, findings);
  },
  gather: gatherSpotTwins,
  say({ details: { worst, twin }, limit, vertices = [] }, words) {
    const also = twin
      ? `; ${sayMoves(twin, words)} that lie ${words.length(twin.away)} or more past it`
      : '';
    return {
      message: `${sayMoves(worst, words)} that lie ${words.length(worst.away)} or more past the midline${also} (${mostWords(limit)}; ${words.vertices(vertices)}).`,
      remedy:
        twin === null
          ? `Move that weight to ${words.joint(worst.nearest)}.`
          : 'Move the weight of each of the two joints to the other.',
    };
  },
});
