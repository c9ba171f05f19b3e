import { atJoints, type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import {
  type PartsDetails,
  partsFinding,
  sayExamples,
  sayParts,
} from '../../src/kit/part-findings.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { countVertices, skinMass } from '../../src/measure/skin/skin-mass.js';
import type { SlotFault, WeightFaults } from '../../src/measure/skin/weight-faults.js';

type Kind = 'repeated' | 'negative' | 'no number';

interface Details extends PartsDetails {
  readonly kind: Kind;
  /** The joints whose weights they are, the one with most first; none where nobody can tell. */
  readonly joints: readonly number[];
}

const KINDS: readonly Kind[] = ['repeated', 'negative', 'no number'];

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
  limits: {
    vertices: { default: 0, unit: 'vertices', tells: 'vertices of a primitive with such weights' },
  },
  check(facts, limits) {
    const { parts } = facts.rig;
    if (parts.length === 0) return notApplicable('no mesh uses the skin');
    const findings = KINDS.flatMap((kind) => judgeKind(facts, kind, limits.vertices));
    const short = findings.reduce((sum, finding) => sum + finding.measured, 0);
    return judged('vertices', countVertices(parts), findings, short);
  },
  say(finding, words) {
    const { kind, joints } = finding.details;
    const end = `(limit ${finding.limit}; ${sayExamples(finding, words)})`;
    if (kind === 'no number') {
      return {
        message: `${sayParts(finding, words)} have a weight that is not a number ${end}.`,
        remedy: 'Paint the weights of these vertices again.',
      };
    }
    const who =
      joints.length > 1
        ? `${words.count(joints.length, 'joint')} have`
        : `${joints[0] === undefined ? 'An index that is no joint of the skin' : words.joint(joints[0])} has`;
    const listed = joints.length > 1 ? `: ${words.joints(joints)}` : '';
    const what = kind === 'repeated' ? 'two weights' : 'a negative weight';
    return {
      message: `${who} ${what} on ${sayParts(finding, words)}${listed} ${end}.`,
      remedy:
        kind === 'repeated'
          ? 'Merge the two into one on each vertex.'
          : 'Clear these weights and normalise the rest.',
    };
  },
});

function judgeKind(facts: Facts, kind: Kind, limit: number): Finding<Details>[] {
  const { parts, skins } = facts.rig;
  const tally = new Map<number, number>();
  const faults = parts.flatMap((source, part) => {
    const own = skinMass(facts).weightFaults[part];
    if (own === undefined || source.sharesVertices) return [];
    const slots = slotsOf(own, kind);
    const vertices = [...new Set(slots.map(({ vertex }) => vertex))];
    if (vertices.length <= limit) return [];
    for (const { slot } of slots) {
      const joint = skins[source.skin]?.jointOfSlot[slot] ?? -1;
      if (slot !== -1 && joint !== -1) tally.set(joint, (tally.get(joint) ?? 0) + 1);
    }
    const { length } = vertices;
    const looked = source.vertexCount;
    return [{ part, looked, short: length, vertices: vertices.slice(0, 3), measured: length }];
  });
  const joints = [...tally].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([joint]) => joint);
  const [worst] = joints;
  return partsFinding(faults, 'error', limit, 'vertices', () => ({ kind, joints })).map((given) => {
    const finding = { ...given, aspect: kind };
    if (worst === undefined) return finding;
    const inOrder = [...joints].sort((a, b) => a - b);
    const measures = inOrder.map((joint) => tally.get(joint) ?? 0);
    return { ...finding, ...atJoints(inOrder, worst), measures };
  });
}

/** The vertices of a kind and the slots whose weights they are; -1 where nobody can tell. */
function slotsOf({ repeated, negative, noNumber }: WeightFaults, kind: Kind): readonly SlotFault[] {
  if (kind === 'repeated') return repeated;
  if (kind === 'negative') return negative;
  return noNumber.map((vertex) => ({ vertex, slot: -1 }));
}
