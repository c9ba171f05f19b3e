import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin-mass.js';

/** A vertex that no joint moves stays where it was when the body leaves. */
export const skinUnweighted = rule({
  id: 'skin.unweighted',
  level: 'error',
  title: 'vertices that no joint moves',
  why: 'When the character walks off, these vertices stay behind or fly to the origin, and drag triangles after them.',
  formula: 'Vertices all of whose weights are zero, or that have none. One finding a primitive.',
  remedy: 'Give every vertex of a skinned mesh to at least one joint.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes',
  limits: { vertices: { default: 0, unit: 'vertices', tells: 'vertices without weight' } },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const findings = parts.flatMap((source, part) => {
      if (source.sharesVertices) return [];
      const faults = skinMass(facts).weightFaults[part];
      const count = faults?.unweighted ?? 0;
      if (count <= limits.vertices) return [];
      return [
        {
          level: 'error' as const,
          place: { kind: 'part' as const, part },
          measured: count,
          limit: limits.vertices,
          unit: 'vertices' as const,
          counts: { looked: source.vertexCount, short: count },
          vertices: faults?.unweightedFirst ?? [],
          details: { part, looked: source.vertexCount },
        },
      ];
    });
    const looked = countVertices(parts);
    return judged(
      'vertices',
      looked,
      findings,
      findings.reduce((sum, finding) => sum + finding.measured, 0),
    );
  },
  say(finding, words) {
    const { part, looked } = finding.details;
    return {
      message: `${finding.measured} of ${words.count(looked, 'vertex')} of ${words.part(part)} are moved by no joint (limit ${finding.limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy:
        'Give them to the joint whose flesh they are, or make the mesh an unskinned child of one joint.',
    };
  },
});
