import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';

/** Joints that are kept of those below a spacer that parts into many. */
const NAMED = 100;

/** Nodes between joints are links that no animator sees. */
export const chainSpacer = rule({
  id: 'chain.spacer',
  level: 'note',
  title: 'a node between two joints that no skin lists',
  why: 'A spacer carries a transform that nobody picks and no skin knows. Programs that rebuild the chain from the skin drop it.',
  formula:
    'Nodes on the way from a joint up to the next joint above it that no skin of the rig lists.',
  remedy:
    'Fold the transform of the node into the joint below it and take the node out, or make it a joint.',
  source: 'common practice; glTF 2.0, 3.7.3.2 allows such nodes',
  limits: { spacers: { default: 0, unit: 'nodes', tells: 'spacers in a rig' } },
  check(facts, limits) {
    const { joints } = facts.rig;
    // By run first: many joints can hang below one long run.
    const byRun = new Map<readonly number[], number[]>();
    joints.spacers.forEach((run, joint) => {
      if (run.length === 0) return;
      const list = byRun.get(run);
      if (list === undefined) byRun.set(run, [joint]);
      else list.push(joint);
    });
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
    const findings = [...below.entries()].map(([node, item]) => ({
      level: 'note' as const,
      place: { kind: 'node' as const, node },
      measured: below.size,
      limit: limits.spacers,
      unit: 'nodes' as const,
      joints: item.joints.slice(0, NAMED),
      details: { node, above: item.above, below: item.joints },
    }));
    return judged('joints', joints.count, below.size > limits.spacers ? findings : []);
  },
  say(finding, words) {
    const { node, above, below } = finding.details;
    return {
      message: `The node ${words.node(node)} stands between ${words.joint(above)} and ${words.joints(below)}, but no skin lists it (${words.count(finding.measured, 'spacer')} in the rig, limit ${finding.limit}).`,
      remedy: `Fold its transform into ${words.joints(below)} and take it out, or list it as a joint.`,
    };
  },
});
