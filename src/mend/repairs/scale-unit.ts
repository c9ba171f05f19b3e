import { significant } from '../../kit/figures.js';
import type { RigModel } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import { foundPlaces } from '../found-places.js';
import { scaleWords } from '../frames/scale-words.js';
import { carryOut } from '../reframe/carry-out.js';
import { foldInto } from '../reframe/fold.js';
import { Ground } from '../reframe/ground.js';
import { whyNotExactly } from '../reframe/plan.js';
import { FLAT } from '../reframe/plan-node.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Takes uniform scale off joints, spacers and holders: it goes into the translations below and their
 * keys, and into the inverse bind matrices. What is no part of the skeleton keeps its looks by a scale
 * of its own.
 */
export const scaleUnit: Repair = {
  name: 'scale',
  tells: 'A uniform scale is moved into the places and keys below and into the bind matrices.',
  rules: ['scale.unit', 'rest.bind'],
  mend(context: MendContext): Mended {
    const { model, findings } = context;
    const ground = new Ground(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const rescale = new Map<number, number>();
    // Of rest.bind those alone that are about a scale, not about a pose.
    const scaled = findings.filter(({ rule, unit }) => rule === 'scale.unit' || unit === '%');
    for (const { rule, place } of foundPlaces(scaled)) {
      const { node, path } = place;
      if (node === null || rescale.has(node)) continue;
      const mean = meanScale(model, node);
      const why = whyNot(ground, node, 1 / mean);
      if (why !== null) {
        left.push({ rule, place: path, why });
        continue;
      }
      rescale.set(node, 1 / mean);
      changes.push({
        rule,
        place: path,
        before: `scaled by ${scaleWords(model.nodes, node)}`,
        after: `scaled by 1; the places below it now have the factor ${significant(mean)}`,
      });
    }
    return carryOut(ground, foldInto(ground, { rescale }), { changes, left });
  },
};

function meanScale({ nodes }: RigModel, node: number): number {
  const [x = 0, y = 0, z = 0] = vec3At(nodes.scale, node).map(Math.abs);
  return x === y && y === z ? x : Math.cbrt(x * y * z);
}

function whyNot(ground: Ground, node: number, factor: number): string | null {
  if (!Number.isFinite(factor)) return `it ${FLAT}`;
  const clip = scalingClip(ground, node);
  if (clip !== null) return `it is scaled by the clip "${clip}"`;
  const rescale = new Map([[node, factor]]);
  return whyNotExactly(ground, foldInto(ground, { rescale }), new Set([node]));
}

/** A key that is nearer to the stored scale only repeats it, as exports that key everything do. Share. */
const SAME_SCALE = 1e-3;

/** The first clip that gives a node another scale than it stores, so that no one factor takes it off. */
function scalingClip({ nodes, clips }: Ground, node: number): string | null {
  const stored = vec3At(nodes.scale, node);
  const scaling = clips.channels.get(node)?.find(
    // The tangents of a cubic spline are no scales, so that one always counts as scaling.
    ({ path, values }) =>
      path === 'scale' &&
      !values.every((value, at) => {
        const own = stored[at % 3] ?? 1;
        return Math.abs(value - own) <= SAME_SCALE * Math.abs(own);
      }),
  );
  return scaling === undefined ? null : clips.nameOf(scaling.animation);
}
