import { type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { type WeightsApart, weightsApart } from '../../src/measure/fit/weights.js';
import { against, limit } from '../parts.js';

interface Details {
  readonly part: number;
  /** Joints whose weights differ, those of most vertices first, and how many vertices each has. */
  readonly byJoint: readonly { readonly joint: number; readonly vertices: number }[];
}

/** How many joints a message lists. */
const LISTED = 5;

/** The same mesh, painted anew: wanted or not, somebody should know before the clips play. */
export const fitWeights = rule({
  id: 'fit.weights',
  level: 'note',
  title: 'other weights on the mesh of the approved rig',
  why: 'The mesh is the approved one, but its skin follows the joints in another way. Where nobody meant to paint it anew, an export or a copy of weights went wrong.',
  formula:
    'For meshes with the same vertices in the same order: the weights of each vertex on each joint, against those on the joint of the approved rig that stands in its place. A vertex counts once, at the joint where the difference is largest. Left out are vertices that move with a joint which the other rig does not have.',
  remedy: 'Copy the weights from the approved rig, or have the new ones approved.',
  source: 'common practice',
  limits: { differ: limit(1, '%', 'difference of a weight') },
  // What is seen of new weights is told with them.
  yieldsTo: [{ to: ['fit.play'], on: 'joints' }],
  onApproved: true,
  check(facts, limits) {
    const list = weightsApart(facts);
    if (list.length === 0) return notApplicable('no mesh has the vertices of an approved one');
    const findings = list.flatMap((apart) => find(apart, limits.differ));
    const looked = list.reduce((sum, { byVertex }) => sum + comparedOf(byVertex), 0);
    const short = findings.reduce((sum, { counts }) => sum + (counts?.short ?? 0), 0);
    return judged('vertices', looked, findings, short);
  },
  say({ details: { part, byJoint }, measured, limit, counts, vertices }, words) {
    const { looked = 0, short = 0 } = counts ?? {};
    const list = byJoint
      .slice(0, LISTED)
      .map((entry) => `${words.joint(entry.joint)} (${words.count(entry.vertices, 'vertex')})`);
    const more = byJoint.length > LISTED ? ` and ${byJoint.length - LISTED} more` : '';
    return {
      message: `${short} of ${words.count(looked, 'vertex')} of ${words.part(part)} have other weights than in the approved rig, by up to ${words.percent(measured)} (limit ${words.percent(limit ?? 0)}): on ${list.join(', ')}${more}; ${words.vertices(vertices ?? [])}.`,
      remedy:
        'If this is not wanted, copy the weights from the approved rig; else have the new ones approved.',
    };
  },
  consequence: ({ counts }, words) =>
    `The weights of ${words.count(counts?.short ?? 0, 'vertex')} differ from the approved ones.`,
});

function comparedOf(byVertex: Float64Array): number {
  return byVertex.reduce((sum, apart) => sum + (apart >= 0 ? 1 : 0), 0);
}

/** Rounding of integer weights must not put a difference of just the limit past it. */
const ROUNDING = 1e-6;

function find({ ours, byVertex, jointOf }: WeightsApart, most: number): Finding<Details>[] {
  const perJoint = new Map<number, number>();
  const vertices: number[] = [];
  let [worst, short] = [0, 0];
  for (const [vertex, apart] of byVertex.entries()) {
    const percent = 100 * apart;
    if (!(percent > most + ROUNDING)) continue;
    const joint = jointOf[vertex] ?? -1;
    perJoint.set(joint, (perJoint.get(joint) ?? 0) + 1);
    if (vertices.length < 3) vertices.push(vertex);
    worst = Math.max(worst, percent);
    short++;
  }
  if (short === 0) return [];
  const byJoint = [...perJoint]
    .map(([joint, count]) => ({ joint, vertices: count }))
    .sort((a, b) => b.vertices - a.vertices || a.joint - b.joint);
  return [
    {
      level: 'note',
      place: { kind: 'part', part: ours },
      ...against(worst, most, '%'),
      joints: byJoint.map(({ joint }) => joint),
      counts: { looked: comparedOf(byVertex), short },
      vertices,
      details: { part: ours, byJoint },
    },
  ];
}
