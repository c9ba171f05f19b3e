import { invert, type Mat4 } from '../../rig/mat4.js';
import { notCarried } from '../carry/carry-extensions.js';
import type { Obstacle } from '../carry/carry-plan.js';
import type { Ground } from './ground.js';
import { isEvenScale } from './linear.js';
import { FLAT, planNode, planSet } from './plan-node.js';
import {
  asMatrix,
  type Blocked,
  isMatrix,
  type NodePlan,
  type Plan,
  type Reframing,
} from './reframing.js';

/**
 * Plans a reframing, or tells all that is in its way: with p the new parent, a local matrix becomes
 * (W_p C_p)^-1 W C. Where p is the old parent that is C_p^-1 L C; where it was the child, the inverse of
 * the child's local matrix stands for L. Children that are no joints take all back.
 *
 * @param asked Nodes that obstacles call "it", since a finding names them.
 */
export function planReframing(
  ground: Ground,
  reframing: Reframing,
  asked: ReadonlySet<number> = new Set(),
): Plan | Blocked {
  const { nodes, carriers, clips } = ground;
  const { frames, locals = new Map(), parents = new Map() } = reframing;
  const between = new Map<number, { readonly back: Mat4; readonly children: number[] }>();
  const plans: NodePlan[] = [];
  const uneven: { node: number; clip: string }[] = [];
  const obstacles: Obstacle[] = [];
  for (const node of nodes.order) {
    const parent: number = parents.get(node) ?? nodes.parent[node] ?? -1;
    const [own, above, local] = [frames.get(node), frames.get(parent), locals.get(node)];
    if (own === undefined && above === undefined && local === undefined && !parents.has(node))
      continue;
    const refuse = (why: string, of = node): void => {
      const below = asked.size > 0 ? ', below it,' : '';
      const subject = asked.has(of) ? 'it' : `${ground.say(of)}${below}`;
      const ties = [of, node, parent].filter((tied) => frames.has(tied));
      obstacles.push({ nodes: [...new Set(ties)], why: `${subject} ${why}` });
    };
    const why = obstacle(ground, reframing, node);
    if (why !== null) {
      refuse(why);
      continue;
    }
    if (local !== undefined) {
      plans.push(planSet(node, local));
      continue;
    }
    if (own === undefined && !carriers.has(node)) {
      if (ground.isIdle(node)) continue;
      const back = above !== undefined && isMatrix(above) ? invert(above) : undefined;
      if (back === null) {
        refuse(FLAT, parent);
        continue;
      }
      if (back !== undefined && !isEvenScale(back)) {
        const hung = between.get(parent) ?? { back, children: [] };
        hung.children.push(node);
        between.set(parent, hung);
        continue;
      }
    }
    const planned = planNode(ground, {
      node,
      parent,
      above,
      own,
      takesUp: locals.has(parent),
    });
    if ('why' in planned) refuse(planned.why);
    else {
      for (const [clip, maps] of planned.clips)
        if (maps === null) uneven.push({ node, clip: clips.nameOf(clip) });
      plans.push(planned);
    }
  }
  const matrices = new Map([...frames].map(([node, frame]) => [node, asMatrix(frame)]));
  const [first, ...others] = obstacles.length > 0 ? obstacles : notCarried(ground.json, matrices);
  if (first !== undefined) return { obstacles: [first, ...others] };
  return { frames: matrices, parents, nodes: plans, between, uneven };
}

/** The same, where keys that no constant product keeps exact are in the way, too. */
export function planExactly(
  ground: Ground,
  reframing: Reframing,
  asked: ReadonlySet<number> = new Set(),
): Plan | Blocked {
  const plan = planReframing(ground, reframing, asked);
  const [first, ...others] =
    'obstacles' in plan
      ? []
      : plan.uneven.map(
          ({ node, clip }): Obstacle => ({
            nodes: [node, ground.nodes.parent[node] ?? -1].filter((tied) =>
              reframing.frames.has(tied),
            ),
            why: `the clip "${clip}" scales or turns ${asked.has(node) ? 'it' : ground.say(node)} in a way that its new frame cannot follow exactly; change that clip first`,
          }),
        );
  return first === undefined ? plan : { obstacles: [first, ...others] };
}

/** Why it cannot be, as a sentence to tell; null where it can. */
export function whyNotExactly(...asked: Parameters<typeof planExactly>): string | null {
  const plan = planExactly(...asked);
  return 'obstacles' in plan ? plan.obstacles[0].why : null;
}

/** Why a node cannot be given what it is to have, as what follows its name. */
function obstacle(
  ground: Ground,
  { frames, locals, parents }: Reframing,
  node: number,
): string | null {
  if (parents?.has(node) === true && ground.placed.has(node))
    return 'is named by an extension that depends on which node hangs on which; change the hierarchy where you made the rig';
  const own = frames.get(node);
  if (locals?.has(node) === true) {
    const [moving] = ground.clips.moving([node]);
    if (moving !== undefined) return `is moved by the clip "${ground.clips.nameOf(moving)}"`;
    const isTop = (ground.nodes.children[node] ?? []).length > 0;
    if (own !== undefined && isMatrix(own) && isTop)
      return 'is scaled unequally, skewed or mirrored, and nothing below it can take that over';
  }
  return own === undefined ? null : ground.whyItStays(node);
}
