import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { bindMesh, size } from '../../src/measure/bind-mesh.js';
import { midline } from '../../src/measure/midline.js';
import { restAgainstBind } from '../../src/measure/rest-against-bind.js';

/** A symmetric model stands on the centre line, so that mirroring a pose across it works. */
export const restCentred = rule({
  id: 'rest.centred',
  level: 'warning',
  title: 'a symmetric model standing off the centre line of the grid',
  why: 'Mirroring of weights, frames and poses goes across X = 0. Off the centre line each of them lands beside the model.',
  formula:
    'Distance of the middle of the bind-posed mesh from the plane X = 0, relative to size; only when at least 90 % of its vertices have a mirror vertex about that middle.',
  remedy: 'Move model and rig together onto the centre line before binding.',
  source: 'common practice',
  limits: { distance: { default: 1, unit: '% of size', tells: 'middle of the mesh to X = 0' } },
  // A holder that is moved takes the model with it.
  yieldsTo: [{ to: ['rest.holder'], on: 'rig' }],
  check(facts, limits) {
    const half = midline(facts);
    if (!half.symmetric) {
      return notApplicable(
        `the mesh is not symmetric about its middle (${Math.round(100 * half.mirrored)} % of vertices mirror, 90 % asked)`,
      );
    }
    // Stored in another pose, where the bind pose stood in the world is no longer known.
    if (restAgainstBind(facts).shift > 0.001 * size(facts))
      return notApplicable('the rig is not stored in its bind pose');
    const percent = (100 * Math.abs(half.x)) / size(facts);
    const fails = percent > limits.distance;
    const { centre } = bindMesh(facts);
    return judged(
      'rigs',
      1,
      fails
        ? [
            {
              level: 'warning' as const,
              place: { kind: 'rig' },
              measured: percent,
              limit: limits.distance,
              unit: '% of size',
              evidence: [
                { kind: 'line', label: 'off centre', points: [centre, [0, centre[1], centre[2]]] },
              ],
              details: { x: half.x },
            },
          ]
        : [],
    );
  },
  say(finding, words) {
    const way = finding.details.x > 0 ? '+X' : '-X';
    return {
      message: `The model is symmetric but stands ${words.ofSize(finding.measured)} off the centre line towards ${way} (limit ${finding.limit} %).`,
      remedy: `Move model and rig together by ${words.number(-finding.details.x)} along X before binding.`,
    };
  },
});
