import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bindMesh, size } from '../../src/measure/geometry/bind-mesh.js';
import { midline } from '../../src/measure/geometry/midline.js';
import { holderSums } from '../../src/measure/pose/holder-sum.js';
import { restAgainstBind } from '../../src/measure/pose/rest-against-bind.js';
import { length } from '../../src/rig/vec3.js';
import { against, limit, line } from '../parts.js';

/** With so many objects beside the rig, the asset is a scene, in which each thing has its place. */
const LAID_OUT = 3;

/** A symmetric model stands on the centre line, so that mirroring a pose across it works. */
export const restCentred = rule({
  id: 'rest.centred',
  level: 'warning',
  title: 'a symmetric model away from the centre line of the grid',
  why: 'Programs mirror weights, frames and poses across X = 0. When the model is not on the centre line, the mirrored side lands beside it.',
  formula:
    'The distance between the middle of the bind-posed mesh and the plane X = 0, relative to size. It is measured only when at least 90 % of the vertices have a mirror vertex about that middle, and not where several rigs, or three objects or more, stand side by side in one scene.',
  remedy: 'Move model and rig together onto the centre line before binding.',
  source: 'common practice',
  limits: { distance: limit(1, '% of size', 'distance of the middle of the mesh from X = 0') },
  check(facts, limits, limitOf) {
    const { rigs, objects } = facts.rig.beside;
    if (rigs > 0 || objects >= LAID_OUT)
      return notApplicable(
        `the rig is one of several things laid out in a scene (beside it: rigs ${rigs}, objects ${objects})`,
      );
    // A holder that is moved takes the model with it, and belongs to rest.holder.
    const moved = Math.max(0, ...holderSums(facts).map(({ move }) => length(move)));
    if (100 * moved > limitOf('rest.holder', 'move') * size(facts))
      return notApplicable('its holders move the rig (see rest.holder)');
    const half = midline(facts);
    if (!half.symmetric)
      return notApplicable(
        `the mesh is not symmetric about its middle (${Math.round(100 * half.mirrored)} % of vertices mirror, limit: at least 90 %)`,
      );
    // In a rig stored in another pose, the place of the bind pose in the world is not known.
    if (100 * restAgainstBind(facts).shift > limitOf('rest.bind', 'shift') * size(facts))
      return notApplicable('the rig is not stored in its bind pose');
    const percent = (100 * Math.abs(half.x)) / size(facts);
    if (!(percent > limits.distance)) return judged('rigs', 1, []);
    const { centre } = bindMesh(facts);
    const [, y, z] = centre;
    return judgedAsOne('rigs', 1, {
      level: 'warning',
      place: { kind: 'rig' },
      ...against(percent, limits.distance, '% of size'),
      evidence: [line('off centre', [centre, [0, y, z]])],
      details: { x: half.x },
    });
  },
  say: ({ details: { x }, measured, limit }, words) => ({
    message: `The model is symmetric but stands ${words.ofSize(measured)} off the centre line towards ${x > 0 ? '+X' : '-X'} (limit ${limit} %).`,
    remedy: `Move model and rig together by ${words.number(-x)} along X before binding.`,
  }),
});
