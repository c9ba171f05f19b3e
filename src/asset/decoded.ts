import type { TypedArray } from '@gltf-transform/core';

/** An accessor's values, decoded but not yet denormalised. */
export interface DecodedAccessor {
  readonly array: TypedArray;
  readonly count: number;
  /** Components of one element. */
  readonly size: number;
  readonly normalized: boolean;
}

export type Decoded = ReadonlyMap<number, DecodedAccessor>;
