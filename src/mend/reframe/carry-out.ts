import type { LeftAlone, Mended } from '../repair.js';
import { applyPlan } from './apply.js';
import type { Ground } from './ground.js';
import { planExactly, planReframing } from './plan.js';
import type { Frame, Reframing } from './reframing.js';
import { sampledWords } from './sampled-words.js';

/** How near curves are followed that are sampled anew. Share of size; far below what a mend may move. */
const CLOSE = 3e-7;

/** How curves are made that no product of keys gives. */
export interface Curves {
  /** Of the largest rig in it, in its units. */
  readonly size: number;
  /** Whether they are to be as near as they come; else they have to fit. */
  readonly isNearest: boolean;
}

/**
 * Plans and stores a reframing that a repair has put together. Gives back what the repair tells, with which
 * curves were sampled anew; where it cannot be stored after all, every change is left alone instead.
 *
 * @param curves Null where all curves are to stay exact.
 */
export function carryOut(
  ground: Ground,
  reframing: Reframing,
  { changes, left }: Mended,
  curves: Curves | null = null,
): Mended {
  if (changes.length === 0) return { changes, left };
  const plan = (curves === null ? planExactly : planReframing)(ground, reframing);
  const { size, isNearest } = curves ?? { size: 1, isNearest: false };
  const made =
    'obstacles' in plan
      ? plan.obstacles[0]
      : applyPlan(ground, plan, {
          tolerance: CLOSE * size,
          reach: size,
          nearest: isNearest && plan.uneven.length > 0,
        });
  if ('why' in made) {
    const all = changes.map(({ rule, place }): LeftAlone => ({ rule, place, why: made.why }));
    return { changes: [], left: [...left, ...all] };
  }
  const more = sampledWords(made.sampled, ground.nodes, size);
  return { changes: changes.map((item) => ({ ...item, after: item.after + more })), left };
}

/**
 * Takes out of a set of frames those that cannot be changed exactly, since nothing else hinders the others.
 * They are asked about together: extensions tie nodes to each other.
 *
 * @returns Why each node that was taken out keeps its frame.
 */
export function takeOutHindered(ground: Ground, frames: Map<number, Frame>): Map<number, string> {
  const why = new Map<number, string>();
  for (;;) {
    const plan = planExactly(ground, { frames }, new Set(frames.keys()));
    if (!('obstacles' in plan)) return why;
    const before = frames.size;
    const take = (node: number, reason: string): void => {
      if (frames.delete(node)) why.set(node, reason);
    };
    for (const obstacle of plan.obstacles)
      for (const node of obstacle.nodes) take(node, obstacle.why);
    // An obstacle always names a node that changes; a file that brings about another keeps all its frames.
    if (frames.size === before)
      for (const node of [...frames.keys()]) take(node, plan.obstacles[0].why);
  }
}
