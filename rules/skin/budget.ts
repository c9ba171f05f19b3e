import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin-mass.js';
import type { SkinnedPart } from '../../src/rig/types.js';

type Details =
  | { readonly kind: 'joints'; readonly joints: number }
  | {
      readonly kind: 'influences';
      readonly part: number;
      readonly most: number;
      readonly looked: number;
    };

/** Engines take so many joints a skin and influences a vertex, and drop the rest. */
export const skinBudget = rule({
  id: 'skin.budget',
  level: 'note',
  title: 'more joints a skin, or influences a vertex, than the standard allows',
  why: 'An engine with room for four influences drops the fifth, and the skin of the game is not the skin that was painted.',
  formula:
    'Joints listed by each skin, and weights above zero of each vertex over all its sets. One finding a skin and primitive. The default sets no limit on joints but what an index can hold.',
  remedy: 'Drop the smallest weights of each vertex, or split the mesh, until it fits.',
  source: 'common practice; glTF 2.0, 3.7.3.3 asks viewers for one set of four influences at least',
  limits: {
    joints: { default: 65536, unit: 'joints', tells: 'joints of a skin' },
    influences: { default: 4, unit: 'joints', tells: 'joints that move one vertex' },
  },
  check(facts, limits) {
    const { parts, skins } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const many: Finding<Details>[] = skins.flatMap((skin, place) => {
      const joints = skin.jointOfSlot.length;
      if (joints <= limits.joints) return [];
      return [
        budget({ kind: 'skin', skin: place }, joints, limits.joints, { kind: 'joints', joints }),
      ];
    });
    const crowded: Finding<Details>[] = parts.flatMap((source, part) => {
      const faults = skinMass(facts).weightFaults[part];
      if (faults === undefined || source.sharesVertices) return [];
      const over = faults.crowds
        .slice(limits.influences + 1)
        .reduce((sum, count) => sum + count, 0);
      if (over === 0) return [];
      const most = faults.crowds.findLastIndex((count) => count > 0);
      const details = { kind: 'influences' as const, part, most, looked: source.vertexCount };
      return [
        {
          ...budget({ kind: 'part', part }, most, limits.influences, details),
          counts: { looked: source.vertexCount, short: over },
          vertices: firstCrowded(source, limits.influences),
        },
      ];
    });
    const short = crowded.reduce((sum, finding) => sum + (finding.counts?.short ?? 0), 0);
    return judged('vertices', countVertices(parts), [...many, ...crowded], short);
  },
  say(finding, words) {
    const { details } = finding;
    if (details.kind === 'joints') {
      return {
        message: `The skin lists ${words.count(details.joints, 'joint')} (limit ${finding.limit}).`,
        remedy: 'Split the mesh by body part, or leave out joints that move nothing.',
      };
    }
    const short = finding.counts?.short ?? 0;
    return {
      message: `${short} of ${words.count(details.looked, 'vertex')} of ${words.part(details.part)} are moved by more than ${words.count(finding.limit ?? 0, 'joint')}, up to ${details.most} (limit ${finding.limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy: 'Drop the smallest weights of these vertices and normalise the rest.',
    };
  },
});

function budget(
  place: Finding['place'],
  measured: number,
  limit: number,
  details: Details,
): Finding<Details> {
  return { level: 'note', place, measured, limit, unit: 'joints', details };
}

/** The first three vertices that more than `limit` joints move. */
function firstCrowded({ vertexCount, influences, weights }: SkinnedPart, limit: number): number[] {
  const found: number[] = [];
  for (let vertex = 0; vertex < vertexCount && found.length < 3; vertex++) {
    const own = weights.subarray(influences * vertex, influences * (vertex + 1));
    if (own.reduce((sum, weight) => sum + (weight === 0 ? 0 : 1), 0) > limit) found.push(vertex);
  }
  return found;
}
