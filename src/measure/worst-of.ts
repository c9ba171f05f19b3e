/** Measures nearer than this are as good as alike: rounding must not choose. */
const ALIKE = 1 + 1e-3;

/** The one with the largest measure; the first of several that are as good as alike. */
export function worstOf<T>(list: readonly T[], measure: (thing: T) => number): T | undefined {
  const largest = list.reduce((most, thing) => Math.max(most, measure(thing)), -Infinity);
  return list.find((thing) => measure(thing) * ALIKE >= largest);
}
