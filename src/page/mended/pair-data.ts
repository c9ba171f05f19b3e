import type { PageRig } from '../page-data.js';

/** What the viewer of a mend gets from its page, as JSON. */
export interface PairData {
  readonly pairs: readonly PagePair[];
}

/** One rig before and after. */
export interface PagePair {
  readonly sides: readonly [before: PageSide, after: PageSide];
  /** The joint after of each joint before, -1 where it is none. */
  readonly answers: readonly number[];
  /** Joints of which the frame, the place or the parent changed: before and after, -1 where it is none. */
  readonly changed: readonly (readonly [before: number, after: number])[];
}

/** One side: the rig with the clips that both sides have, in the same order. */
export interface PageSide {
  readonly rig: PageRig;
  /** By joint. */
  readonly joints: readonly { readonly name: string; readonly movesSkin: boolean }[];
}

/** As it stands in the page: each text of packed numbers once, and where it is used its index. */
export interface PooledPairs {
  readonly pool: readonly string[];
  readonly pairs: unknown;
}
