import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { groupBy } from '../../src/rig/group-by.js';
import { against, limit, mostWords } from '../parts.js';

/** Joints that are kept of those below a spacer that parts into many. */
const NAMED = 100;
/** Further spacers that a message names. */
const LISTED = 4;

/** Nodes between joints are links that no animator sees. */
export const chainSpacer = rule({
  id: 'chain.spacer',
  level: 'note',
  title: 'a node between two joints that no skin lists',
  why: 'A spacer has a transform that animators do not see and that no skin lists. Programs that rebuild the chain from the skin lose it.',
  formula:
    'Nodes between a joint and the next joint above it that no skin of the rig lists. Each rig has one finding.',
  remedy:
    'Merge the transform of the node into the joint below it and remove the node, or make it a joint.',
  source: 'common practice; glTF 2.0, 3.7.3.2 allows such nodes',
  limits: { spacers: limit(0, 'nodes', 'spacers in a rig') },
  check(facts, limits) {
    const { joints } = facts.rig;
    // By run first: many joints can hang below one long run.
    const byRun = groupBy(joints.spacers.keys(), (joint) => joints.spacers[joint] ?? []);
    const below = new Map<number, readonly number[]>();
    for (const [run, list] of byRun) {
      for (const node of run) {
        const before = below.get(node);
        below.set(node, before === undefined ? list : [...before, ...list].slice(0, NAMED));
      }
    }
    const [node, ...others] = below.keys();
    const count = below.size;
    if (node === undefined || count <= limits.spacers) return judged('joints', joints.count, []);
    const under = below.get(node) ?? [];
    const placeOf = (each: number) => ({ kind: 'node' as const, node: each });
    const finding = {
      level: 'note' as const,
      place: placeOf(node),
      places: [node, ...others].map(placeOf),
      ...against(count, limits.spacers, 'nodes'),
      joints: [...new Set([...below.values()].flat())].slice(0, NAMED),
      counts: { looked: Math.max(joints.count, count), short: count },
      details: { node, above: joints.parent[under[0] ?? 0] ?? -1, below: under, others },
    };
    return judged('joints', joints.count, [finding], Math.min(joints.count, count));
  },
  say({ details: { node, above, below, others }, measured, limit }, words) {
    const listed = others.slice(0, LISTED).map((other) => words.node(other));
    const rest = others.length - listed.length;
    const more =
      others.length === 0
        ? ''
        : ` Between other joints there ${others.length === 1 ? 'is' : 'are'} ${listed.join(', ')}${rest > 0 ? ` and ${rest} more` : ''}.`;
    const [transform, them, asJoints] =
      others.length === 0
        ? [`its transform into ${words.joints(below)}`, 'it', 'it as a joint']
        : ['their transforms into the joints below them', 'them', 'them as joints'];
    return {
      message: `The node ${words.node(node)} is between ${words.joint(above)} and ${words.joints(below)}, but no skin lists it (${words.count(measured, 'spacer')} in the rig, ${mostWords(limit)}).${more}`,
      remedy: `Merge ${transform} and remove ${them}, or list ${asJoints}.`,
    };
  },
});
