import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { countVertices, skinMass } from '../../src/measure/skin-mass.js';

interface Details {
  readonly part: number;
  readonly joint: number;
  readonly kind: 'repeated' | 'not positive';
}

/** One weight a joint and vertex, and none below zero. */
export const skinRepeat = rule({
  id: 'skin.repeat',
  level: 'error',
  title: 'a joint with two weights on one vertex, or a weight that is negative or no number',
  why: 'Programs that merge, mirror or smooth weights keep one of the two and lose the other; a negative weight pushes the vertex the wrong way.',
  formula:
    'Vertices on which a joint has two non-zero weights, and vertices with a negative or non-finite weight. One finding a joint, primitive and kind.',
  remedy:
    'Merge the weights of the joint on each vertex and clear those that are no positive number.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (MUST)',
  limits: { vertices: { default: 0, unit: 'vertices', tells: 'vertices with such weights' } },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const findings = parts.flatMap((source, part) => {
      const faults = skinMass(facts).weightFaults[part];
      if (faults === undefined || source.sharesVertices) return [];
      return [
        ...gather(facts, part, faults.repeated, 'repeated', limits.vertices),
        ...gather(facts, part, faults.notPositive, 'not positive', limits.vertices),
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
    const { part, joint, kind } = finding.details;
    const who = joint === -1 ? 'An influence past the joints' : words.joint(joint);
    const examples = words.vertices(finding.vertices ?? []);
    if (kind === 'repeated') {
      return {
        message: `${who} has two weights on ${words.count(finding.measured, 'vertex')} of ${words.part(part)} (limit ${finding.limit}; ${examples}).`,
        remedy: 'Merge the two into one on each vertex.',
      };
    }
    return {
      message: `${who} has a weight that is negative or no number on ${words.count(finding.measured, 'vertex')} of ${words.part(part)} (limit ${finding.limit}; ${examples}).`,
      remedy: 'Clear these weights and normalise the rest.',
    };
  },
});

function gather(
  facts: Facts,
  part: number,
  faults: readonly { readonly vertex: number; readonly slot: number }[],
  kind: Details['kind'],
  limit: number,
): Finding<Details>[] {
  const source = facts.rig.parts[part];
  const jointOfSlot = facts.rig.skins[source?.skin ?? 0]?.jointOfSlot;
  const vertices = new Map<number, Set<number>>();
  for (const { vertex, slot } of faults) {
    const joint = jointOfSlot?.[slot] ?? -1;
    const list = vertices.get(joint);
    if (list === undefined) vertices.set(joint, new Set([vertex]));
    else list.add(vertex);
  }
  return [...vertices.entries()]
    .filter(([, list]) => list.size > limit)
    .map(([joint, list]) => ({
      level: 'error',
      place: joint === -1 ? { kind: 'part', part } : { kind: 'joint', joint },
      measured: list.size,
      limit,
      unit: 'vertices',
      counts: { looked: source?.vertexCount ?? 0, short: list.size },
      vertices: [...list].slice(0, 3),
      details: { part, joint, kind },
    }));
}
