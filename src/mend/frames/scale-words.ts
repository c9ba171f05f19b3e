import { significant } from '../../kit/figures.js';
import type { NodeTable } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';

/** A stored scale in words: one factor where all are alike. */
export function scaleWords(nodes: NodeTable, node: number): string {
  const factors = vec3At(nodes.scale, node).map(significant);
  return new Set(factors).size === 1 ? (factors[0] ?? '1') : factors.join(' x ');
}
