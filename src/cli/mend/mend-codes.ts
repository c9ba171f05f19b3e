import { EXIT, exitCode } from '../exit-codes.js';
import type { MendRecord } from './mend-record.js';

/** From the worst on. */
const ORDER: readonly number[] = [
  EXIT.usage,
  EXIT.unreadable,
  EXIT.unwritten,
  EXIT.unsound,
  EXIT.sound,
];

/**
 * The exit code of one asset.
 *
 * @param hasFailed Whether a rule of the house's own failed on it.
 */
export function codeOf({ outcome, after }: MendRecord, hasFailed: boolean): number {
  if (outcome === 'failed') return EXIT.usage;
  if (outcome === 'unreadable') return EXIT.unreadable;
  if (outcome === 'refused') return EXIT.unwritten;
  return exitCode(after?.verdict ?? null, hasFailed);
}

/** The worse of two exit codes. */
export function worseCode(a: number, b: number): number {
  return ORDER.indexOf(a) <= ORDER.indexOf(b) ? a : b;
}
