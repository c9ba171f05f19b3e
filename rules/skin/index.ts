import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin-mass.js';

/** An index past the joints points into nothing. */
export const skinIndex = rule({
  id: 'skin.index',
  level: 'error',
  title: "a joint index past the skin's joints",
  why: 'What the index points at is not in the file: viewers show the vertex at the origin, somewhere else each time, or not at all.',
  formula:
    "Vertices with a JOINTS_n value that is not below the number of the skin's joints, whatever its weight. One finding a primitive.",
  remedy: 'Bind the mesh again to the skin it is exported with.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (MUST)',
  limits: { vertices: { default: 0, unit: 'vertices', tells: 'vertices with such an index' } },
  check(facts, limits) {
    const { parts, skins } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const findings = parts.flatMap((source, part) => {
      if (source.sharesVertices) return [];
      const bad = skinMass(facts).weightFaults[part]?.badIndex ?? [];
      if (bad.length <= limits.vertices) return [];
      return [
        {
          level: 'error' as const,
          place: { kind: 'part' as const, part },
          measured: bad.length,
          limit: limits.vertices,
          unit: 'vertices' as const,
          counts: { looked: source.vertexCount, short: bad.length },
          vertices: bad.slice(0, 3),
          details: {
            part,
            looked: source.vertexCount,
            joints: skins[source.skin]?.jointOfSlot.length ?? 0,
          },
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
    const { part, looked, joints } = finding.details;
    return {
      message: `${finding.measured} of ${words.count(looked, 'vertex')} of ${words.part(part)} name a joint past the ${joints} of their skin (limit ${finding.limit}; ${words.vertices(finding.vertices ?? [])}).`,
      remedy: 'Bind the mesh again to the skin it is exported with.',
    };
  },
});
