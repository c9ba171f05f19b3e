import type { ASSET_LIMITS } from './limits.js';

/** Amounts that show beforehand how much work an asset will be. */
export type Amount = keyof Pick<typeof ASSET_LIMITS, 'jsonBytes' | 'nodes' | 'decodedBytes'>;

/** Keeps the check of one asset within bounds that do not come from the asset. */
export interface Guard {
  /** Called with an amount before the work on it begins. May throw AssetError. */
  expect(amount: Amount, count: number): void;
  /** Runs work that nothing else would interrupt. Throws AssetError when it takes too long. */
  run<T>(work: () => T): T;
}

/** Bounds nothing. */
export const NO_GUARD: Guard = { expect: () => undefined, run: (work) => work() };
