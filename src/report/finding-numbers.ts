import { mendingOrder } from '../kit/mending-order.js';
import type { FindingReport } from './report-types.js';

/**
 * The number of each finding of an asset, by its index, from 1 on: in the order in which they are mended,
 * so that 1 is what to do first. Text, sheet and page all number by this. A waiver changes no number:
 * pictures are drawn before it is known what is waived.
 */
export function findingNumbers(findings: readonly FindingReport[]): number[] {
  const numbers: number[] = [];
  const order = [...findings.keys()].sort((a, b) => {
    const [one, other] = [findings[a], findings[b]];
    return (one && other && numberOrder(one, other)) || a - b;
  });
  for (const [at, index] of order.entries()) numbers[index] = at + 1;
  return numbers;
}

/** The numbers of an asset's findings by the findings themselves. */
export type Numbers = ReadonlyMap<FindingReport, number>;

export function numbersOf(findings: readonly FindingReport[]): Numbers {
  const numbers = findingNumbers(findings);
  return new Map(findings.map((finding, index) => [finding, numbers[index] ?? 0]));
}

/** Sorts what is mended first to the front; of one rule and level, what is worst. */
export function numberOrder(a: FindingReport, b: FindingReport): number {
  return (
    mendingOrder(a, b) ||
    // Rules of one family have one place: each of them stays together.
    (a.rule < b.rule ? -1 : Number(a.rule > b.rule)) ||
    timesPast(b) - timesPast(a)
  );
}

/** How many times a measure is past its limit, above or below; 0 where that is no number. */
function timesPast({ measured, limit }: FindingReport): number {
  if (measured === null || limit === null || !(measured > 0) || !(limit > 0)) return 0;
  return Math.max(measured / limit, limit / measured);
}
