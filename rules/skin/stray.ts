import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { gatherSpotTwins, sayMoves, spotFindings } from '../../src/kit/spot-findings.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { gatherSpots } from '../../src/measure/skin/skin-spots.js';
import { strayIslands } from '../../src/measure/skin/stray-skin.js';
import { limit, mostWords } from '../parts.js';

/** With this weight a joint holds a vertex alone. */
const ALL = 0.999;

/** A spot of skin on a joint across the body flies along with it. */
export const skinStray = rule({
  id: 'skin.stray',
  level: 'warning',
  title: 'a spot of skin that a joint far away moves',
  why: 'When the joint turns, the spot follows it and pulls a spike out of the body. Such spots are left when a brush paints through to another part of the mesh.',
  formula:
    "Islands of vertices that a joint moves by 1 % or more, joined by mesh edges across seams and primitives. The island at the joint's own bones does not count. An island counts when two things are true. Every vertex in it that the joint moves by over 5 % is nearest to the bone of another joint that moves skin (not the joint, its parent or its child), is over 3 times as far from the joint's own bones as from that one, and is over 10 % of size away. And weight x distance is over 1 % of size somewhere in the island. Skin that is connected with the joint's own skin by weights of 1 % is a gradient and does not count. The bone of an end joint runs to the far end of its own skin. A whole piece of mesh that the joint moves most is a prop and does not count. Each joint, or pair of twins, has one finding.",
  remedy:
    'Set the weight of the joint to 0 on these vertices, and normalise what other joints hold; where nothing is left, give them to the joint that is nearest.',
  source: 'common practice',
  limits: { vertices: limit(0, 'vertices', 'vertices of one joint in such islands') },
  check(facts, limits) {
    const { hasMesh, moves } = skinMass(facts);
    const moving = moves.reduce((sum, value) => sum + value, 0);
    if (!hasMesh || moving === 0 || !(size(facts) > 0))
      return notApplicable('the rig moves no mesh');
    const spots = gatherSpots(facts, strayIslands(facts)).filter(
      ({ vertices }) => vertices > limits.vertices,
    );
    const findings = spotFindings(spots, {
      limit: limits.vertices,
      label: 'stray skin',
      levelOf: () => 'warning',
    });
    return judged('joints', moving, findings);
  },
  gather: gatherSpotTwins,
  say({ details: { worst, twin }, limit, vertices = [] }, words) {
    const nearest = words.joint(worst.nearest);
    const also =
      twin === null ? '' : `; ${sayMoves(twin, words)} beside ${words.joint(twin.nearest)}`;
    const homes = [...new Set([worst.nearest, ...(twin === null ? [] : [twin.nearest])])];
    // Where other joints hold the rest of each vertex, that is what the skin had before the slip.
    const isAll = Math.max(worst.top, twin?.top ?? 0) >= ALL;
    return {
      message: `${sayMoves(worst, words)} that lie ${words.length(worst.away)} or more from its bones, beside ${nearest}${also} (${mostWords(limit, 'such vertices')}; ${words.vertices(vertices)}).`,
      remedy: isAll
        ? `Give these vertices to the joints whose bones are nearest, such as ${words.joints(homes)}.`
        : 'Set that weight to 0 there, and normalise what the other joints hold.',
    };
  },
});
