import { significant } from '../../kit/figures.js';
import { visible } from '../../report/visible.js';
import type { NodeTable } from '../../rig/types.js';
import type { LeftAlone, Mended } from '../repair.js';
import { applyPlan } from './apply.js';
import type { Ground } from './ground.js';
import { planExactly, planReframing } from './plan.js';
import type { Followed, Resampling } from './poser.js';
import type { Frame, Reframing } from './reframing.js';

/**
 * Plans and stores a reframing that a repair has put together. Returns what the repair reports, with the
 * curves that were resampled; where it cannot be stored after all, every change is left alone instead.
 *
 * @param curves Null where all curves must stay exact.
 */
export function carryOut(
  ground: Ground,
  reframing: Reframing,
  { changes, left }: Mended,
  curves: Resampling | null = null,
): Mended {
  if (changes.length === 0) return { changes, left };
  const plan = (curves === null ? planExactly : planReframing)(ground, reframing);
  const resampling = curves ?? { size: 1, isNearest: false };
  const stored = 'obstacles' in plan ? plan.obstacles[0] : applyPlan(ground, plan, resampling);
  if ('why' in stored) {
    const { why } = stored;
    const kept = changes.map(({ rule, place }): LeftAlone => ({ rule, place, why }));
    return { changes: [], left: [...left, ...kept] };
  }
  const more = sampledWords(stored.sampled, ground.nodes, resampling.size);
  return { changes: changes.map((change) => ({ ...change, after: change.after + more })), left };
}

/** Which curves were resampled and how near they come, after a comma; nothing where none was. */
function sampledWords(sampled: readonly Followed[], { names }: NodeTable, size: number): string {
  const [first] = sampled;
  if (first === undefined) return '';
  const off = sampled.reduce((most, { keys }) => Math.max(most, keys.off), 0);
  const keyCount = sampled.reduce((sum, { keys }) => sum + keys.times.length, 0);
  const nodes = [...new Set(sampled.map(({ node }) => node))];
  const listed = nodes
    .slice(0, LISTED)
    .map((node) => `"${visible(names[node] ?? `node ${node}`)}"`);
  if (nodes.length > LISTED) listed.push(`${nodes.length - LISTED} more`);
  const percent = (100 * off) / size;
  const share = percent < LEAST ? LEAST.toFixed(4) : significant(percent);
  const clips = new Set(sampled.map(({ clip }) => clip)).size;
  const where = clips === 1 ? `the clip "${visible(first.clip)}"` : `${clips} clips`;
  return `, with new curves for ${listed.join(' and ')} in ${where} (${keyCount} keys, at most ${share} % of size from the old curves)`;
}

/** Joints that are named; there can be many. */
const LISTED = 2;

/** Percent; nobody needs to know how much less it is. */
const LEAST = 1e-4;

/**
 * Takes those out of a set of frames that cannot be changed exactly, and returns why. They are planned
 * together, since extensions tie nodes to each other.
 */
export function takeOutHindered(ground: Ground, frames: Map<number, Frame>): Map<number, string> {
  const why = new Map<number, string>();
  for (;;) {
    const plan = planExactly(ground, { frames }, new Set(frames.keys()));
    if (!('obstacles' in plan)) return why;
    const before = frames.size;
    for (const obstacle of plan.obstacles)
      for (const node of obstacle.nodes) if (frames.delete(node)) why.set(node, obstacle.why);
    if (frames.size < before) continue;
    // Each obstacle names a node that changes. Should a file bring about another, all its frames stay.
    for (const node of frames.keys()) why.set(node, plan.obstacles[0].why);
    frames.clear();
  }
}
