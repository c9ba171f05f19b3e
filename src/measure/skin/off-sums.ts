import type { Facts } from '../facts.js';
import { skinMass } from './skin-mass.js';

/** How far sums may be from 1, and integer ones from full, in steps. */
export interface SumLimits {
  readonly warn: number;
  readonly error: number;
  readonly steps: number;
}

/** The sums of one part that are off. */
export interface SumFault {
  readonly part: number;
  /** Vertices of the part. */
  readonly looked: number;
  readonly short: number;
  /** The first three, of those past the limit of an error where there are any. */
  readonly vertices: readonly number[];
  /** The largest distance from full, and the sum that is so far off. */
  readonly measured: number;
  readonly sum: number;
  /** What a full sum is: 1, or the steps of integer weights. */
  readonly full: number;
  /** Vertices past the limit of an error, and those that are off by less. */
  readonly serious: number;
  readonly mild: number;
}

/** The sums of weights that are not full; null where all are, or the part shares its weights. */
export function offSums(facts: Facts, part: number, limits: SumLimits): SumFault | null {
  const source = facts.rig.parts[part];
  const faults = skinMass(facts).weightFaults[part];
  if (source === undefined || faults === undefined) return null;
  if (source.influences === 0 || source.sharesVertices) return null;
  const full = source.weightSteps === 0 ? 1 : source.weightSteps;
  const [tolerated, error] = full === 1 ? [limits.warn, limits.error] : [0, limits.steps];
  // Most meshes are sound, and their vertices are not looked at again. (skin.repeat reports sums that
  // are not numbers.)
  if (faults.worstSum <= tolerated) return null;
  const lists: Record<'mild' | 'serious', number[]> = { mild: [], serious: [] };
  let [measured, sum] = [0, full];
  faults.sums.forEach((value, vertex) => {
    const off = Math.abs(value - full);
    if (value === 0 || !(off > tolerated && off < Infinity)) return;
    lists[off > error ? 'serious' : 'mild'].push(vertex);
    if (off > measured) [measured, sum] = [off, value];
  });
  if (measured === 0) return null;
  const [serious, mild] = [lists.serious.length, lists.mild.length];
  const vertices = (serious > 0 ? lists.serious : lists.mild).slice(0, 3);
  const looked = source.vertexCount;
  return { part, looked, short: serious + mild, vertices, measured, full, sum, serious, mild };
}
