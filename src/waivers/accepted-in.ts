import type { Accepted } from './ledger.js';
import type { Subject } from './subjects.js';
import { isLeast } from './worse.js';

/** The worst that was accepted in a unit; null for none. */
export function acceptedIn(accepted: Accepted, unit: string): number | null {
  return unit === accepted.unit ? accepted.measured : (accepted.also?.get(unit) ?? null);
}

/** Whether what the finding measures is the worse the smaller it is. */
export function leastOf({ finding: { measured, limit } }: Pick<Subject, 'finding'>): boolean {
  return measured !== null && isLeast({ measured, limit });
}
