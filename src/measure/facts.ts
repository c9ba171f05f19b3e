import type { Approved, Rig } from '../rig/types.js';
import type { Axis } from './axis.js';
import type { Contract } from './contract.js';
import type { MirrorScheme } from './mirror-schemes.js';
import type { NamePattern } from './names/name-pattern.js';

export type { Axis };

export const ALL_AXES: readonly Axis[] = ([0, 1, 2] as const).flatMap((index): Axis[] => [
  { index, sign: 1 },
  { index, sign: -1 },
]);

/** What a standard asks for; null where it leaves the choice to the rig. */
export interface WantedOfRig {
  readonly aim: Axis | null;
  readonly up: Axis | null;
  /** How right frames are to mirror left ones; absent where the rig may choose. */
  readonly mirror?: MirrorScheme;
  /** How names are made; absent where the standard says nothing of it. */
  readonly names?: NamePattern;
  /** Whether rigs are delivered in another pose than they were bound in, on purpose. */
  readonly rest?: 'posed';
  /** What else the house asks for; absent where it asks for nothing more. */
  readonly contract?: Contract;
}

/** One rig and the conventions it is held to: what every measure is taken from. */
export interface Facts {
  readonly rig: Rig;
  readonly wanted: WantedOfRig;
  /** What the rig has to fit; absent where it is compared with nothing. */
  readonly approved?: Approved;
}

/** Makes a measure that is taken once per rig, wanted axes and approved rig, whichever rules ask for it. */
export function fact<T>(measure: (facts: Facts) => T): (facts: Facts) => T {
  const taken = new WeakMap<Rig, Pick<Facts, 'wanted' | 'approved'> & { readonly value: T }>();
  return (facts) => {
    const { rig, wanted, approved } = facts;
    const earlier = taken.get(rig);
    if (earlier?.wanted === wanted && earlier.approved === approved) return earlier.value;
    const value = measure(facts);
    taken.set(rig, { wanted, ...(approved && { approved }), value });
    return value;
  };
}

/** The axis as people write it: `+X`, `-Z`. */
export function axisName({ index, sign }: Axis): string {
  return `${sign > 0 ? '+' : '-'}${'XYZ'[index]}`;
}

/** Whether two signed axes are one; none is the same as null. */
export function sameAxis(a: Axis | null, b: Axis): boolean {
  return a !== null && a.index === b.index && a.sign === b.sign;
}

export function opposite({ index, sign }: Axis): Axis {
  return { index, sign: sign > 0 ? -1 : 1 };
}
