import { judged, notApplicable } from '../../src/kit/finding.js';
import { partsFinding, sayExamples, sayParts } from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import { limit, mostWords } from '../parts.js';

/** A vertex that no joint moves stays where it was when the body leaves. */
export const skinUnweighted = rule({
  id: 'skin.unweighted',
  level: 'error',
  title: 'vertices that no joint moves',
  why: 'When the character walks away, these vertices stay behind or fly to the origin, and pull triangles along.',
  formula: 'Vertices without weights, or whose weights are all zero. Each rig has one finding.',
  remedy: 'Give every vertex of a skinned mesh to at least one joint.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes',
  limits: { vertices: limit(0, 'vertices', 'vertices of a primitive without weight') },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const faults = parts.flatMap((source, part) => {
      const { unweighted = [] } = skinMass(facts).weightFaults[part] ?? {};
      const short = unweighted.length;
      if (source.sharesVertices || short <= limits.vertices) return [];
      const looked = source.vertexCount;
      return [{ part, looked, short, vertices: unweighted.slice(0, 3), measured: short }];
    });
    const findings = partsFinding(faults, 'error', limits.vertices, 'vertices', () => ({}));
    return judged('vertices', countVertices(parts), findings, findings[0]?.measured ?? 0);
  },
  say: (finding, words) => ({
    message: `${sayParts(finding, words)} are moved by no joint (${mostWords(finding.limit)}; ${sayExamples(finding, words)}).`,
    remedy:
      'Give them to the joint that they belong to, or make the mesh a child of one joint, without a skin.',
  }),
});
