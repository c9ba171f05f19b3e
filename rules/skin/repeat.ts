import { atJoints, judged, notApplicable } from '../../src/kit/finding.js';
import { partsFinding, sayExamples, sayParts } from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import type { SlotFault } from '../../src/measure/skin/weight-faults.js';
import { limit, mostWords } from '../parts.js';

const KINDS = ['repeated', 'negative', 'no number'] as const;
type Kind = (typeof KINDS)[number];

/** One weight a joint and vertex, and none below zero. */
export const skinRepeat = rule({
  id: 'skin.repeat',
  level: 'error',
  title: 'a joint with two weights on one vertex, or a weight that is negative or not a number',
  why: 'Programs that merge, mirror or smooth weights keep one of the two and lose the other. A negative weight pushes the vertex the wrong way. A vertex with a weight that is not a number has no place.',
  formula:
    'Vertices on which a joint has two weights that are not zero, vertices with a negative weight, and vertices with a weight that is not a finite number. Each rig has one finding of each kind: the first two at the joint with most such vertices, the last at the mesh.',
  remedy:
    'Merge the weights of the joint on each vertex, clear negative weights, and paint again the vertices whose weights are not numbers.',
  source: 'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes (MUST)',
  limits: { vertices: limit(0, 'vertices', 'vertices of a primitive with such weights') },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const findings = KINDS.flatMap((kind) => judgeKind(facts, kind, limits.vertices));
    const short = findings.reduce((sum, { measured }) => sum + measured, 0);
    return judged('vertices', countVertices(parts), findings, short);
  },
  say(finding, words) {
    const { kind, joints } = finding.details;
    const vertices = sayParts(finding, words);
    const end = `(${mostWords(finding.limit)}; ${sayExamples(finding, words)})`;
    if (kind === 'no number')
      return {
        message: `${vertices} have a weight that is not a number ${end}.`,
        remedy: 'Paint the weights of these vertices again.',
      };
    const [first] = joints;
    const who = first === undefined ? 'An index that is no joint of the skin' : words.joint(first);
    const [have, listed] =
      joints.length > 1
        ? [`${words.count(joints.length, 'joint')} have`, `: ${words.joints(joints)}`]
        : [`${who} has`, ''];
    const [what, remedy] =
      kind === 'repeated'
        ? ['two weights', 'Merge the two into one on each vertex.']
        : ['a negative weight', 'Clear these weights and normalise the rest.'];
    return { message: `${have} ${what} on ${vertices}${listed} ${end}.`, remedy };
  },
});

function judgeKind(facts: Facts, kind: Kind, limit: number) {
  const { parts, skins } = facts.rig;
  const tally = new Map<number, number>();
  const faults = parts.flatMap((source, part) => {
    const {
      repeated = [],
      negative = [],
      noNumber = [],
    } = skinMass(facts).weightFaults[part] ?? {};
    // Nobody can tell which joint a weight belongs to that is no number.
    const unplaced = noNumber.map((vertex): SlotFault => ({ vertex, slot: -1 }));
    const slots = { repeated, negative, 'no number': unplaced }[kind];
    const vertices = [...new Set(slots.map(({ vertex }) => vertex))];
    const { length: short } = vertices;
    if (source.sharesVertices || short <= limit) return [];
    for (const { slot } of slots) {
      const joint = skins[source.skin]?.jointOfSlot[slot] ?? -1;
      if (joint !== -1) tally.set(joint, (tally.get(joint) ?? 0) + 1);
    }
    const looked = source.vertexCount;
    return [{ part, looked, short, vertices: vertices.slice(0, 3), measured: short }];
  });
  // The joints whose weights they are, the one with most first; none where nobody can tell.
  const joints = [...tally].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([joint]) => joint);
  const places = [...joints].sort((a, b) => a - b);
  const atWorst = joints.length > 0 && {
    ...atJoints(places, joints[0]),
    measures: places.map((joint) => tally.get(joint) ?? 0),
  };
  const findings = partsFinding(faults, 'error', limit, 'vertices', () => ({ kind, joints }));
  return findings.map((finding) => ({ ...finding, aspect: kind, ...atWorst }));
}
