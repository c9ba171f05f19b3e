import { judged, notApplicable } from '../../src/kit/finding.js';
import { partsFinding, sayExamples, sayParts } from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { limit, mostWords } from '../parts.js';

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
      const numbers = pastNumbers(source, bad, skins[source.skin]?.jointOfSlot.length ?? 0);
      const vertices = bad.slice(0, 3);
      return [{ part, looked, short: bad.length, vertices, measured: bad.length, numbers }];
    });
    const listed = faults.map(({ part }) => skins[parts[part]?.skin ?? 0]?.jointOfSlot.length ?? 0);
    const joints = Math.min(...listed);
    const numbers = [...new Set(faults.flatMap((fault) => fault.numbers))].sort((a, b) => a - b);
    const findings = partsFinding(faults, 'error', limits.vertices, 'vertices', () => ({
      joints,
      numbers,
    }));
    return judged('vertices', countVertices(parts), findings, findings[0]?.measured ?? 0);
  },
  say(finding, words) {
    const { joints, numbers } = finding.details;
    const more = numbers.length - NAMED;
    const asked = `${numbers.length === 1 ? 'number' : 'numbers'} ${numbers.slice(0, NAMED).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
    return {
      message: `${sayParts(finding, words)} name a joint that their skin does not have: ${asked}, counted from 0 (the skin has at least ${joints} joints; ${mostWords(finding.limit)}; ${sayExamples(finding, words)}).`,
      remedy: 'Bind the mesh again to the skin it is exported with.',
    };
  },
});

/** Numbers of joints that a message names. */
const NAMED = 3;

/** The numbers past those of the skin's joints that some vertices have, each once. */
function pastNumbers(
  { slots, influences }: SkinnedPart,
  vertices: readonly number[],
  joints: number,
): number[] {
  const found = new Set<number>();
  for (const vertex of vertices)
    for (let at = vertex * influences; at < (vertex + 1) * influences; at++) {
      const slot = slots[at] ?? 0;
      if (slot >= joints) found.add(slot);
    }
  return [...found];
}
