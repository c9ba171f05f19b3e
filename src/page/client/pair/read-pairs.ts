import type { PairData, PooledPairs } from '../../mended/pair-data.js';

/** The data of the page, with the texts of packed numbers put back where their indices stand. */
export function readPairs(json: string): PairData {
  // Written into this file together with this script, by one version of the tool.
  const { pool } = JSON.parse(json) as PooledPairs;
  return JSON.parse(json, (key, value: unknown) =>
    key === 'base64' && typeof value === 'number' ? (pool[value] ?? '') : value,
  ) as PairData;
}
