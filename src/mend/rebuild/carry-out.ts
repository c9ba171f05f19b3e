import type { MendContext, Mended } from '../repair.js';
import { applyRebuild } from './apply-rebuild.js';
import { planRebuild, type Rebuild } from './rebuild.js';
import { sampledWords } from './sampled-words.js';

/** How near curves are followed that are sampled anew. Share of size; far below what a mend may move. */
const CLOSE = 3e-7;

/**
 * Plans and stores a rebuild that a repair has put together. Gives back what the repair tells, with which
 * curves were sampled anew; where it cannot be stored after all, every change is left alone instead.
 *
 * @param size Of the largest rig in it, in its units.
 * @param isNearest Whether curves that nothing exact keeps are to be as near as they come; else they have to fit.
 */
export function carryOut(
  context: MendContext,
  rebuild: Rebuild,
  { changes, left }: Mended,
  size: number,
  isNearest: boolean,
): Mended {
  const plan = planRebuild(context, rebuild);
  const nearest = isNearest && 'uneven' in plan && plan.uneven.length > 0;
  const how = { tolerance: CLOSE * size, reach: size, nearest };
  const made = 'why' in plan ? plan : applyRebuild(context, plan, how);
  if ('why' in made) {
    const { why } = made;
    return {
      changes: [],
      left: [...left, ...changes.map(({ rule, place }) => ({ rule, place, why }))],
    };
  }
  const more = sampledWords(made.sampled, context.model.nodes, size);
  return { changes: changes.map((item) => ({ ...item, after: item.after + more })), left };
}
