/** The influences of one vertex, as stored: floats, or whole steps of a normalised integer. */
export type Influences = readonly {
  /** Place in the skin's list of joints. */
  readonly slot: number;
  /** Never 0. */
  readonly weight: number;
}[];

/** What weights are held to. */
export interface WantedWeights {
  /** What the weights of a vertex sum to: 1, or all steps of an integer. */
  readonly full: 1 | 255 | 65535;
  /** How far a sum may be off before it is mended, in the same unit; Infinity leaves sums alone. */
  readonly tolerance: number;
  /** How many joints may move a vertex; Infinity for any number. */
  readonly budget: number;
  /** Whether repeated and negative weights are mended. */
  readonly single: boolean;
}

/** What is wrong with the weights of a vertex, as far as it is to be mended. */
export type WeightFault = 'repeated' | 'negative' | 'crowded' | 'off sum';

export function faultsOf(list: Influences, wanted: WantedWeights): Set<WeightFault> {
  const found = new Set<WeightFault>();
  if (wanted.single) {
    const positive = list.filter(({ weight }) => weight > 0);
    if (new Set(positive.map(({ slot }) => slot)).size < positive.length) found.add('repeated');
    if (positive.length < list.length) found.add('negative');
  }
  if (list.length > wanted.budget) found.add('crowded');
  const sum = sumOf(list);
  if (sum !== 0 && Math.abs(sum - wanted.full) > wanted.tolerance) found.add('off sum');
  return found;
}

/**
 * Other weights for a vertex, those that mend most first: one weight a joint; none below zero; no more
 * joints than the budget, the smallest dropped; and a sum that is full, or else the sum there was.
 * Weights that nothing is wrong with are in none of them changed.
 */
export function mendedWeights(present: Influences, wanted: WantedWeights): Influences[] {
  const { full, tolerance, budget } = wanted;
  const sum = sumOf(present);
  const single = wanted.single ? merged(present, full) : present;
  const positive = wanted.single ? single.filter(({ weight }) => weight > 0) : single;
  const tried = [pruned(positive, budget), positive, single].flatMap((shape) =>
    [full, sum].map((target) => {
      // What nothing was dropped from is scaled only where its sum is at fault.
      const off = target !== sum && Math.abs(sum - target) > tolerance;
      return shape.length < single.length || off ? scaled(shape, target, full) : shape;
    }),
  );
  const seen = new Set([JSON.stringify(present)]);
  return tried.filter((list): list is Influences => {
    const key = JSON.stringify(list);
    if (list === null || seen.has(key)) return false;
    seen.add(key);
    // A sum of steps can pass what an integer holds.
    return full === 1 || list.every(({ weight }) => weight <= full);
  });
}

/** One influence a joint, at the place of its first. */
function merged(list: Influences, full: number): Influences {
  const bySlot = new Map<number, number>();
  for (const { slot, weight } of list) bySlot.set(slot, (bySlot.get(slot) ?? 0) + weight);
  if (bySlot.size === list.length) return list;
  return [...bySlot]
    .map(([slot, weight]) => ({ slot, weight: full === 1 ? Math.fround(weight) : weight }))
    .filter(({ weight }) => weight !== 0);
}

/** The largest few, in their order; of equals the earlier. */
function pruned(list: Influences, budget: number): Influences {
  if (list.length <= budget) return list;
  const kept = new Set([...list].sort((a, b) => b.weight - a.weight).slice(0, budget));
  return list.filter((influence) => kept.has(influence));
}

/** Weights in the same proportions that sum to `target`, rounded as they are stored; null where there are none. */
export function scaled(list: Influences, target: number, full: number): Influences | null {
  const sum = sumOf(list);
  if (!(sum > 0) || !(target > 0)) return null;
  const exact = list.map(({ weight }) => (weight / sum) * target);
  const stored = full === 1 ? exact.map(Math.fround) : wholeSteps(exact, target);
  return list
    .map(({ slot }, at) => ({ slot, weight: stored[at] ?? 0 }))
    .filter(({ weight }) => weight !== 0);
}

/**
 * Rounds to whole steps that keep their sum, by the method of largest remainder (Hamilton's): all are
 * rounded down, and what is missing goes to those that lost most, of equals to the earlier.
 */
export function wholeSteps(exact: readonly number[], total: number): number[] {
  const steps = exact.map(Math.floor);
  const missing = total - steps.reduce((sum, step) => sum + step, 0);
  const lost = (at: number): number => (exact[at] ?? 0) - Math.floor(exact[at] ?? 0);
  const order = exact.map((_, at) => at).sort((a, b) => lost(b) - lost(a) || a - b);
  for (const at of order.slice(0, Math.max(0, missing))) steps[at] = (steps[at] ?? 0) + 1;
  return steps;
}

/** The largest weight, whatever its sign, of a joint that is in the first list alone; 0 where there is none. */
export function largestDropped(before: Influences, after: Influences): number {
  const kept = new Set(after.map(({ slot }) => slot));
  const gone = before.filter(({ slot }) => !kept.has(slot));
  return Math.max(0, ...gone.map(({ weight }) => Math.abs(weight)));
}

export function sumOf(list: Influences): number {
  return list.reduce((sum, { weight }) => sum + weight, 0);
}
