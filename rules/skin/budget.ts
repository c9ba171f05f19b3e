import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import {
  type PartsDetails,
  partsFinding,
  sayExamples,
  sayParts,
} from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { against, limit } from '../parts.js';

type Details =
  | { readonly kind: 'joints'; readonly skins: number }
  | ({ readonly kind: 'influences' } & PartsDetails);

/** Engines take so many joints a skin and influences a vertex, and drop the rest. */
export const skinBudget = rule({
  id: 'skin.budget',
  level: 'note',
  title: 'more joints in a skin, or influences on a vertex, than allowed',
  why: 'An engine with room for four influences drops the fifth. The skin in the game then differs from the skin that was painted.',
  formula:
    'The number of joints that each skin lists, and the number of weights above zero of each vertex over all its sets. Each rig has one finding of each kind. By default, the only limit on joints is the largest index that can be stored.',
  remedy:
    'Remove the smallest weights of each vertex, or split the mesh, until it is within the limit.',
  source: 'common practice; glTF 2.0, 3.7.3.3 asks viewers for one set of four influences at least',
  limits: {
    joints: limit(65536, 'joints', 'joints of a skin'),
    influences: limit(4, 'joints', 'joints that move one vertex'),
  },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const crowded = parts.flatMap((source, part) => {
      const { crowds = [] } = skinMass(facts).weightFaults[part] ?? {};
      const short = crowds.slice(limits.influences + 1).reduce((sum, count) => sum + count, 0);
      if (short === 0 || source.sharesVertices) return [];
      const measured = crowds.findLastIndex((count) => count > 0);
      const vertices = firstCrowded(source, limits.influences);
      return [{ part, looked: source.vertexCount, short, vertices, measured }];
    });
    const over = partsFinding(crowded, 'note', limits.influences, 'joints', () => ({
      kind: 'influences' as const,
    }));
    const short = over[0]?.counts?.short ?? 0;
    const findings: Finding<Details>[] = [...manyJoints(facts, limits.joints), ...over];
    return judged('vertices', countVertices(parts), findings, short);
  },
  say(finding, words) {
    const { details, limit, measured } = finding;
    if (details.kind === 'joints') {
      const { skins } = details;
      const who =
        skins === 1
          ? 'The skin lists'
          : `${words.count(skins, 'skin')} list too many joints, up to`;
      return {
        message: `${who} ${words.count(measured, 'joint')} (limit ${limit}).`,
        remedy: 'Split the mesh by body part, or leave out joints that move nothing.',
      };
    }
    const crowded = { ...finding, details };
    return {
      message: `${sayParts(crowded, words)} are moved by more than ${words.count(limit ?? 0, 'joint')}, up to ${measured} (limit ${limit}; ${sayExamples(crowded, words)}).`,
      remedy: 'Remove the smallest weights of these vertices and normalise the rest.',
    };
  },
});

/** Skins with too many joints, as one finding at the one with most. */
function manyJoints({ rig }: Facts, limit: number): Finding<Details>[] {
  const many = rig.skins.flatMap(({ jointOfSlot: { length } }, skin) =>
    length > limit ? [{ skin, joints: length }] : [],
  );
  const [worst] = [...many].sort((a, b) => b.joints - a.joints);
  if (worst === undefined) return [];
  return [
    {
      level: 'note',
      place: { kind: 'skin', skin: worst.skin },
      places: many.map(({ skin }) => ({ kind: 'skin', skin })),
      measures: many.map(({ joints }) => joints),
      aspect: 'joints of a skin',
      ...against(worst.joints, limit, 'joints'),
      details: { kind: 'joints', skins: many.length },
    },
  ];
}

/** The first three vertices that more than `limit` joints move. */
function firstCrowded({ vertexCount, influences, weights }: SkinnedPart, limit: number): number[] {
  const found: number[] = [];
  for (let vertex = 0; vertex < vertexCount && found.length < 3; vertex++) {
    const ofVertex = weights.subarray(influences * vertex, influences * (vertex + 1));
    if (ofVertex.reduce((sum, weight) => sum + (weight === 0 ? 0 : 1), 0) > limit)
      found.push(vertex);
  }
  return found;
}
