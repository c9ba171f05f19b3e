import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { countVertices, skinMass } from '../../src/measure/skin-mass.js';

interface Limits {
  readonly warn: number;
  readonly error: number;
  readonly steps: number;
}

interface Details {
  readonly part: number;
  readonly vertices: number;
  readonly looked: number;
  readonly worst: number;
  readonly sum: number;
  readonly full: number;
}

/** Weights that sum to 1 leave the skin where it is. */
export const skinSum = rule({
  id: 'skin.sum',
  level: 'error',
  milder: 'warning',
  title: 'weights that do not sum to 1',
  why: 'A vertex whose weights sum to less is pulled towards the origin, one with more is pushed away, and each viewer repairs it in its own way.',
  formula:
    'Sum of the weights of each vertex over all its influences. Float weights: distance from 1. Normalised integers: steps away from exactly 255 or 65535. Vertices that no joint moves are told by skin.unweighted. One finding a primitive.',
  remedy: 'Normalise the weights of the mesh.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (float: SHOULD, normalised integers: MUST)',
  limits: {
    warn: { default: 1e-3, unit: 'weight', tells: 'float sum away from 1: a warning from here' },
    error: { default: 1e-2, unit: 'weight', tells: 'float sum away from 1: an error from here' },
    steps: {
      default: 2,
      unit: 'steps',
      tells: 'integer sum away from full: a warning up to here, an error beyond',
    },
  },
  check(facts, limits) {
    const weighted = facts.rig.parts.filter((part) => part.influences > 0);
    if (weighted.length === 0) return notApplicable('no mesh of the rig has weights');
    const findings = facts.rig.parts.flatMap((_, part) => judgePart(facts, part, limits) ?? []);
    const looked = countVertices(weighted);
    const short = findings.reduce((sum, finding) => sum + finding.details.vertices, 0);
    return judged('vertices', looked, findings, short);
  },
  say(finding, words) {
    const { part, vertices, looked, sum, full } = finding.details;
    const shown = full === 1 ? words.number(sum) : `${sum} of ${full} steps`;
    const limit = full === 1 ? `limit ${finding.limit} away from 1` : `limit exactly ${full}`;
    return {
      message: `The weights of ${vertices} of ${words.count(looked, 'vertex')} of ${words.part(part)} do not sum to 1; the worst sum to ${shown} (${limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy: 'Normalise the weights of this mesh and export again.',
    };
  },
});

function judgePart(facts: Facts, part: number, limits: Limits): Finding<Details> | null {
  const source = facts.rig.parts[part];
  const faults = skinMass(facts).weightFaults[part];
  if (source === undefined || faults === undefined || source.influences === 0) return null;
  if (source.sharesVertices) return null;
  const full = source.weightSteps === 0 ? 1 : source.weightSteps;
  const tolerated = source.weightSteps === 0 ? limits.warn : 0;
  // Most meshes are whole: no vertex of theirs is looked at again. (A sum that is no number is
  // skin.repeat's business.)
  if (faults.worstSum <= tolerated) return null;
  const found: number[] = [];
  let [vertices, worst, sum] = [0, 0, full];
  faults.sums.forEach((value, vertex) => {
    const off = Math.abs(value - full);
    if (value === 0 || !(off > tolerated && off < Infinity)) return;
    vertices++;
    if (found.length < 3) found.push(vertex);
    if (off > worst) [worst, sum] = [off, value];
  });
  if (vertices === 0) return null;
  const serious = source.weightSteps === 0 ? worst > limits.error : worst > limits.steps;
  return {
    level: serious ? 'error' : 'warning',
    place: { kind: 'part', part },
    measured: worst,
    limit: source.weightSteps !== 0 ? 0 : serious ? limits.error : limits.warn,
    unit: source.weightSteps === 0 ? 'weight' : 'steps',
    counts: { looked: source.vertexCount, short: vertices },
    vertices: found,
    details: { part, vertices, looked: source.vertexCount, worst, sum, full },
  };
}
