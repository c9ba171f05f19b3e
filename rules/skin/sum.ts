import { judged, notApplicable } from '../../src/kit/finding.js';
import { partsFinding, sayExamples, sayParts } from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import { offSums, type SumFault, type SumLimits } from '../../src/measure/skin/off-sums.js';
import { countVertices } from '../../src/measure/skin/skin-mass.js';
import { groupBy } from '../../src/rig/group-by.js';
import { limit } from '../parts.js';

/** Weights that sum to 1 leave the skin where it is. */
export const skinSum = rule({
  id: 'skin.sum',
  level: 'error',
  milder: 'warning',
  title: 'weights that do not sum to 1',
  why: 'A vertex whose weights sum to less than 1 is pulled towards the origin. A vertex whose weights sum to more is pushed away. Each viewer corrects this in its own way.',
  formula:
    'The sum of the weights of each vertex over all its influences. For float weights, the measure is the distance from 1. For normalised integers, it is the number of steps away from exactly 255 or 65535. Vertices that no joint moves belong to skin.unweighted. Each rig has one finding, at the worst primitive. An error counts only the vertices that are past the limit of an error.',
  remedy: 'Normalise the weights of the meshes.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (float: SHOULD, normalised integers: MUST)',
  limits: {
    warn: limit(1e-3, 'weight', 'float sum away from 1: a warning from here'),
    error: limit(1e-2, 'weight', 'float sum away from 1: an error from here'),
    steps: limit(2, 'steps', 'integer sum away from full: a warning up to here, an error beyond'),
  },
  check(facts, limits) {
    const weighted = facts.rig.parts.filter((part) => part.influences > 0);
    if (weighted.length === 0) return notApplicable('no mesh of the rig has weights');
    const faults = facts.rig.parts.flatMap((_, part) => offSums(facts, part, limits) ?? []);
    // Shares of 1 and whole steps cannot be compared.
    const groups = [...groupBy(faults, ({ full }) => full).values()];
    const findings = groups.flatMap((group) => findingOf(group, limits));
    const short = faults.reduce((sum, { serious, mild }) => sum + serious + mild, 0);
    return judged('vertices', countVertices(weighted), findings, short);
  },
  say(finding, words) {
    const { full, sum, milder } = finding.details;
    const { limit } = finding;
    const steps = limit === 0 ? `exactly ${full}` : `${limit} steps away from ${full}`;
    const [shown, bound] =
      full === 1 ? [words.number(sum), `${limit} away from 1`] : [`${sum} of ${full} steps`, steps];
    const more =
      milder === 0
        ? ''
        : `; ${words.count(milder, 'vertex')} more ${milder === 1 ? 'is' : 'are'} off by less`;
    return {
      message: `The weights of ${sayParts(finding, words)} do not sum to 1; the worst sum to ${shown} (limit ${bound}; ${sayExamples(finding, words)})${more}.`,
      remedy: 'Normalise the weights of these vertices and export again.',
    };
  },
});

/** At an error only what is past its limit is counted; parts that are merely off are listed with it. */
function findingOf(all: readonly SumFault[], limits: SumLimits) {
  const isError = all.some(({ serious }) => serious > 0);
  const milder = isError ? all.reduce((sum, { mild }) => sum + mild, 0) : 0;
  const faults = all.map((fault) => ({ ...fault, short: isError ? fault.serious : fault.mild }));
  const isFloat = all[0]?.full === 1;
  const [mildest, worst] = isFloat ? [limits.warn, limits.error] : [0, limits.steps];
  const [level, limit] = isError ? (['error', worst] as const) : (['warning', mildest] as const);
  const detailsOf = ({ full, sum }: SumFault) => ({ full, sum, milder });
  const found = partsFinding(faults, level, limit, isFloat ? 'weight' : 'steps', detailsOf);
  return found.map((finding) => ({ ...finding, aspect: isFloat ? 'shares' : 'steps' }));
}
