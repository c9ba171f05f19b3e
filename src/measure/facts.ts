import type { Rig } from '../rig/types.js';
import type { NamePattern } from './names/name-pattern.js';

/** A signed local axis: 0 is X, 1 is Y, 2 is Z. */
export interface Axis {
  readonly index: 0 | 1 | 2;
  readonly sign: 1 | -1;
}

export const ALL_AXES: readonly Axis[] = ([0, 1, 2] as const).flatMap((index) => [
  { index, sign: 1 as const },
  { index, sign: -1 as const },
]);

/** What a standard asks for; null where it leaves the choice to the rig. */
export interface WantedOfRig {
  readonly aim: Axis | null;
  readonly up: Axis | null;
  /** How names are made; absent where the standard says nothing of it. */
  readonly names?: NamePattern;
  /** Whether rigs are delivered in another pose than they were bound in, on purpose. */
  readonly rest?: 'posed';
}

/** One rig and the conventions it is held to: what every measure is taken from. */
export interface Facts {
  readonly rig: Rig;
  readonly wanted: WantedOfRig;
}

/** Makes a measure that is taken once per rig and wanted axes, whichever rules ask for it. */
export function fact<T>(measure: (facts: Facts) => T): (facts: Facts) => T {
  const known = new WeakMap<Rig, { readonly wanted: WantedOfRig; readonly value: T }>();
  return (facts) => {
    const earlier = known.get(facts.rig);
    if (earlier !== undefined && earlier.wanted === facts.wanted) return earlier.value;
    const value = measure(facts);
    known.set(facts.rig, { wanted: facts.wanted, value });
    return value;
  };
}

const LETTERS = ['X', 'Y', 'Z'] as const;

/** The axis as people write it: `+X`, `-Z`. */
export function axisName(axis: Axis): string {
  return `${axis.sign > 0 ? '+' : '-'}${LETTERS[axis.index]}`;
}

export function sameAxis(a: Axis, b: Axis): boolean {
  return a.index === b.index && a.sign === b.sign;
}
