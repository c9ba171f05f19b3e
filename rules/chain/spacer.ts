import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { groupBy } from '../../src/rig/group-by.js';

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
  limits: { spacers: { default: 0, unit: 'nodes', tells: 'spacers in a rig' } },
  check(facts, limits) {
    const { joints } = facts.rig;
    // By run first: many joints can hang below one long run.
    const byRun = groupBy(joints.spacers.keys(), (joint) => joints.spacers[joint] ?? []);
    const below = new Map<number, { above: number; joints: readonly number[] }>();
    for (const [run, list] of byRun) {
      const above = joints.parent[list[0] ?? 0] ?? -1;
      for (const node of run) {
        const known = below.get(node)?.joints ?? [];
        below.set(node, {
          above,
          joints: known.length === 0 ? list : [...known, ...list].slice(0, NAMED),
        });
      }
    }
    const nodes = [...below.keys()];
    const [top] = below;
    if (top === undefined || nodes.length <= limits.spacers)
      return judged('joints', joints.count, []);
    const [first, item] = top;
    const finding = {
      level: 'note' as const,
      place: { kind: 'node' as const, node: first },
      places: nodes.map((node) => ({ kind: 'node' as const, node })),
      measured: nodes.length,
      limit: limits.spacers,
      unit: 'nodes' as const,
      joints: [...new Set([...below.values()].flatMap((other) => other.joints))].slice(0, NAMED),
      counts: { looked: Math.max(joints.count, nodes.length), short: nodes.length },
      details: { node: first, above: item.above, below: item.joints, others: nodes.slice(1) },
    };
    return judged('joints', joints.count, [finding], Math.min(joints.count, nodes.length));
  },
  say(finding, words) {
    const { node, above, below, others } = finding.details;
    const listed = others.slice(0, LISTED).map((other) => words.node(other));
    const rest = others.length - listed.length;
    const more =
      others.length === 0
        ? ''
        : ` Between other joints there ${others.length === 1 ? 'is' : 'are'} ${listed.join(', ')}${rest > 0 ? ` and ${rest} more` : ''}.`;
    const many = others.length > 0;
    return {
      message: `The node ${words.node(node)} is between ${words.joint(above)} and ${words.joints(below)}, but no skin lists it (${words.count(finding.measured, 'spacer')} in the rig, limit ${finding.limit}).${more}`,
      remedy: `Merge ${many ? 'their transforms into the joints below them' : `its transform into ${words.joints(below)}`} and remove ${many ? 'them' : 'it'}, or list ${many ? 'them as joints' : 'it as a joint'}.`,
    };
  },
});
