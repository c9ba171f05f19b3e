import { judged, notApplicable } from '../../src/kit/finding.js';
import { partsFinding, sayExamples, sayParts } from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import { limit } from '../parts.js';

/** An index past the joints points into nothing. */
export const skinIndex = rule({
  id: 'skin.index',
  level: 'error',
  title: "a joint index past the skin's joints",
  why: 'The index points at a joint that is not in the file. Viewers show the vertex at the origin, at a different place each time, or not at all.',
  formula:
    "Vertices with a JOINTS_n value that is not below the number of the skin's joints, whatever its weight. Each rig has one finding.",
  remedy: 'Bind the mesh again to the skin it is exported with.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (MUST)',
  limits: { vertices: limit(0, 'vertices', 'vertices of a primitive with such an index') },
  check(facts, limits) {
    const { parts, skins } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const faults = parts.flatMap((source, part) => {
      const bad = skinMass(facts).weightFaults[part]?.badIndex ?? [];
      if (source.sharesVertices || bad.length <= limits.vertices) return [];
      const looked = source.vertexCount;
      return [{ part, looked, short: bad.length, vertices: bad.slice(0, 3), measured: bad.length }];
    });
    const listed = faults.map(({ part }) => skins[parts[part]?.skin ?? 0]?.jointOfSlot.length ?? 0);
    const joints = Math.min(...listed);
    const findings = partsFinding(faults, 'error', limits.vertices, 'vertices', () => ({ joints }));
    return judged('vertices', countVertices(parts), findings, findings[0]?.measured ?? 0);
  },
  say: (finding, words) => ({
    message: `${sayParts(finding, words)} name a joint that their skin does not have (the skin has at least ${finding.details.joints} joints; limit ${finding.limit}; ${sayExamples(finding, words)}).`,
    remedy: 'Bind the mesh again to the skin it is exported with.',
  }),
});
