import { invert, type Mat4 } from '../../rig/mat4.js';
import { notCarried } from '../carry/carry-extensions.js';
import type { Obstacle } from '../carry/carry-plan.js';
import type { Ground } from './ground.js';
import { isEvenScale } from './linear.js';
import { FLAT, planNode, planSet } from './plan-node.js';
import { asMatrix, isMatrix, type NodePlan, type Plan, type Reframing } from './reframing.js';

/** Why a reframing cannot be: one obstacle at least, the first of them that of the topmost node. */
export interface Blocked {
  readonly obstacles: readonly [Obstacle, ...Obstacle[]];
}

/**
 * Plans a reframing, or lists all obstacles to it: with p the new parent, a local matrix becomes
 * (W_p C_p)^-1 W C. Where p is the old parent that is C_p^-1 L C; where it was the child, the inverse of
 * the child's local matrix stands for L. Children that are no joints take all back. Obstacles call the
 * nodes `named` "it", since a finding names them. It plans no further once it has `most` obstacles.
 */
export function planReframing(
  ground: Ground,
  reframing: Reframing,
  named: ReadonlySet<number> = new Set(),
  most = Infinity,
): Plan | Blocked {
  const { nodes, carriers, clips } = ground;
  const { frames, locals = new Map(), parents = new Map(), loose = new Set() } = reframing;
  const between = new Map<number, { readonly back: Mat4; readonly children: number[] }>();
  const plans: NodePlan[] = [];
  const obstacles: Obstacle[] = [];
  for (const node of nodes.order) {
    if (obstacles.length >= most) break;
    const parent: number = parents.get(node) ?? nodes.parent[node] ?? -1;
    const [frame, above, local] = [frames.get(node), frames.get(parent), locals.get(node)];
    if (frame === undefined && above === undefined && local === undefined && !parents.has(node))
      continue;
    const refuse = (why: string, culprit = node): void => {
      const below = named.size > 0 ? ', below it,' : '';
      const subject = named.has(culprit) ? 'it' : `${ground.say(culprit)}${below}`;
      const ties = [culprit, node, parent].filter((tied) => frames.has(tied));
      obstacles.push({ nodes: [...new Set(ties)], why: `${subject} ${why}` });
    };
    const why = whyNot(ground, reframing, node);
    const isHung = frame === undefined && !carriers.has(node);
    const back = isHung && above !== undefined && isMatrix(above) ? invert(above) : undefined;
    if (why !== null) refuse(why);
    else if (local !== undefined) plans.push(planSet(node, local));
    else if (isHung && ground.isIdle(node)) continue;
    else if (back === null) refuse(FLAT, parent);
    else if (back !== undefined && !isEvenScale(back)) {
      const { children } = between.get(parent) ?? { children: [] };
      between.set(parent, { back, children: [...children, node] });
    } else {
      const takesOver = locals.has(parent);
      const isLoose = loose.has(node);
      const planned = planNode(ground, { node, parent, above, frame, takesOver, isLoose });
      if ('why' in planned) refuse(planned.why);
      else plans.push(planned);
    }
  }
  const uneven = plans.flatMap(({ node, clips: mapsOf }) =>
    [...mapsOf].flatMap(([clip, maps]) =>
      maps === null ? [{ node, clip: clips.nameOf(clip) }] : [],
    ),
  );
  const matrices = new Map([...frames].map(([node, frame]) => [node, asMatrix(frame)]));
  const [first, ...others] = obstacles.length > 0 ? obstacles : notCarried(ground.json, matrices);
  if (first !== undefined) return { obstacles: [first, ...others] };
  return { frames: matrices, parents, nodes: plans, between, uneven };
}

/** The same, where keys that no constant product keeps exact are obstacles, too. */
export function planExactly(...args: Parameters<typeof planReframing>): Plan | Blocked {
  const plan = planReframing(...args);
  if ('obstacles' in plan) return plan;
  const [ground, { frames }, named] = args;
  const [first, ...others] = plan.uneven.map(({ node, clip }): Obstacle => {
    const ties = [node, ground.nodes.parent[node] ?? -1].filter((tied) => frames.has(tied));
    const subject = named?.has(node) === true ? 'it' : ground.say(node);
    const why = `the clip "${clip}" scales or turns ${subject} in a way that its new frame cannot follow exactly; change that clip first`;
    return { nodes: ties, why };
  });
  return first === undefined ? plan : { obstacles: [first, ...others] };
}

export function whyNotExactly(
  ground: Ground,
  reframing: Reframing,
  named?: ReadonlySet<number>,
): string | null {
  const plan = planExactly(ground, reframing, named, 1);
  return 'obstacles' in plan ? plan.obstacles[0].why : null;
}

/** Why a node cannot get its new frame, transform or parent, as what follows its name. */
function whyNot(
  ground: Ground,
  { frames, locals, parents }: Reframing,
  node: number,
): string | null {
  if (parents?.has(node) === true && ground.placed.has(node))
    return 'is named by an extension that depends on which node hangs on which; change the hierarchy where you made the rig';
  const frame = frames.get(node);
  if (locals?.has(node) === true) {
    const [moving] = ground.clips.moving([node]);
    if (moving !== undefined) return `is moved by the clip "${ground.clips.nameOf(moving)}"`;
    const hasChildren = (ground.nodes.children[node] ?? []).length > 0;
    if (frame !== undefined && isMatrix(frame) && hasChildren)
      return 'is scaled unequally, skewed or mirrored, and nothing below it can take that over';
  }
  return frame === undefined ? null : ground.whyItStays(node);
}
