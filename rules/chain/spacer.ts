import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';

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
    const below = new Map<number, { above: number; joints: number[] }>();
    joints.spacers.forEach((list, joint) => {
      for (const node of list) {
        const known = below.get(node);
        if (known === undefined)
          below.set(node, { above: joints.parent[joint] ?? -1, joints: [joint] });
        else known.joints.push(joint);
      }
    });
    const findings = [...below.entries()].map(([node, item]) => ({
      level: 'note' as const,
      place: { kind: 'node' as const, node },
      measured: below.size,
      limit: limits.spacers,
      unit: 'nodes' as const,
      joints: item.joints,
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
