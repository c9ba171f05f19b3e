import { significant } from '../../kit/figures.js';
import { vec3At } from '../../rig/vec3.js';
import { foundPlaces } from '../found-places.js';
import type { Change, LeftAlone, Repair } from '../repair.js';
import { applyRefit } from './apply-refit.js';
import { Refitter, scaleWords } from './refit.js';

/**
 * Takes uniform scale off joints, spacers and holders: it goes into the translations below and their
 * keys, and into the inverse bind matrices. What is no part of the skeleton keeps its looks by a scale
 * of its own.
 */
export const scaleUnit: Repair = {
  name: 'scale',
  tells: 'A uniform scale is moved into the places and keys below and into the bind matrices.',
  rules: ['scale.unit', 'rest.bind'],
  mend(context) {
    const { edit, model, findings } = context;
    const refitter = new Refitter(context);
    const changes: Change[] = [];
    const left: LeftAlone[] = [];
    const rescale = new Map<number, number>();
    // Of rest.bind those alone that are about a scale, not about a pose.
    const scaled = findings.filter(({ rule, unit }) => rule === 'scale.unit' || unit === '%');
    for (const { rule, place } of foundPlaces(scaled)) {
      const { node, path } = place;
      if (node === null || rescale.has(node)) continue;
      const [x, y, z] = vec3At(model.nodes.scale, node).map(Math.abs);
      const mean = x === y && y === z ? (x ?? 0) : Math.cbrt((x ?? 0) * (y ?? 0) * (z ?? 0));
      if (!(mean > 0)) {
        left.push({ rule, place: path, why: 'it is scaled to zero, and this cannot be undone' });
        continue;
      }
      const plan = refitter.plan({ set: new Map(), rescale: new Map([[node, 1 / mean]]) }, node);
      if ('why' in plan) {
        left.push({ rule, place: path, why: plan.why });
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
    const planned = refitter.plan({ set: new Map(), rescale }, -1);
    if ('why' in planned) {
      const all = changes.map(({ rule, place }) => ({ rule, place, why: planned.why }));
      return { changes: [], left: [...left, ...all] };
    }
    if (rescale.size > 0) applyRefit(edit, model.nodes, planned.steps);
    return { changes, left };
  },
};
