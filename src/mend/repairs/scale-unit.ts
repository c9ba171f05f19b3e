import { significant } from '../../kit/figures.js';
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
 * keys, and into the inverse bind matrices. What is not part of the skeleton is scaled to look the same.
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
    // Findings of rest.bind about a scale, not about a pose.
    const scaled = findings.filter(({ rule, unit }) => rule === 'scale.unit' || unit === '%');
    for (const { rule, place } of foundPlaces(scaled)) {
      const { node, path } = place;
      if (node === null || rescale.has(node)) continue;
      const [x = 0, y = 0, z = 0] = vec3At(model.nodes.scale, node).map(Math.abs);
      const mean = x === y && y === z ? x : Math.cbrt(x * y * z);
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

function whyNot(ground: Ground, node: number, factor: number): string | null {
  if (!Number.isFinite(factor)) return `it ${FLAT}`;
  // Scale keys of its own take the factor, too: they go on scaling it by as much beside what it stores.
  const rescale = new Map([[node, factor]]);
  return whyNotExactly(ground, foldInto(ground, { rescale }), new Set([node]));
}
