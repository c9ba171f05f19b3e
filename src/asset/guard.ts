import type { ASSET_LIMITS } from './limits.js';

/** Amounts that tell, before it is done, how much work an asset will be. */
export type Amount = keyof Pick<typeof ASSET_LIMITS, 'jsonBytes' | 'nodes' | 'decodedBytes'>;

/** Holds the check of one asset to bounds that are not the asset's own. */
export interface Guard {
  /** Told how much comes before it is begun with. May throw AssetError. */
  expect(amount: Amount, count: number): void;
  /** Runs work that nothing else would interrupt. Throws AssetError when it takes too long. */
  run<T>(work: () => T): T;
}

/** Bounds nothing. */
export const NO_GUARD: Guard = { expect: () => undefined, run: (work) => work() };
