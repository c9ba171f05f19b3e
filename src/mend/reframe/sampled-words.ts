import { significant } from '../../kit/figures.js';
import { visible } from '../../report/visible.js';
import type { NodeTable } from '../../rig/types.js';
import type { Followed } from './poser.js';

/**
 * Which curves were sampled anew and how near they come, after a comma; nothing where none was.
 *
 * @param size Of the rig, in its units.
 */
export function sampledWords(
  sampled: readonly Followed[],
  { names }: NodeTable,
  size: number,
): string {
  const [first] = sampled;
  if (first === undefined) return '';
  const off = Math.max(...sampled.map(({ keys }) => keys.off));
  const keys = sampled.reduce((sum, item) => sum + item.keys.times.length, 0);
  const nodes = [...new Set(sampled.map(({ node }) => node))];
  const named = nodes.slice(0, NAMED).map((node) => `"${visible(names[node] ?? `node ${node}`)}"`);
  const more = nodes.length > NAMED ? [`${nodes.length - NAMED} more`] : [];
  const who = [...named, ...more].join(' and ');
  const percent = (100 * off) / size;
  const share = percent < LEAST ? LEAST.toFixed(4) : significant(percent);
  const clips = new Set(sampled.map(({ clip }) => clip)).size;
  const where = clips === 1 ? `the clip "${visible(first.clip)}"` : `${clips} clips`;
  return `, with new curves for ${who} in ${where} (${keys} keys, at most ${share} % of size from the old curves)`;
}

/** Joints that are named; there can be many. */
const NAMED = 2;

/** Percent; below it nobody asks by how much. */
const LEAST = 1e-4;
