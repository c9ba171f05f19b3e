import type { AssetReport, Verdict } from '../report/report-types.js';

/**
 * Exit codes. The worst of a run counts: 3 over 1 over 0; of a mend of several files 2 over 3 over 4 over
 * 1 over 0. A run that was stopped has a code of its own.
 */
export const EXIT = {
  sound: 0,
  unsound: 1,
  usage: 2,
  unreadable: 3,
  unwritten: 4,
  stopped: 130,
} as const;

/** What each exit code means, for help and the README. */
export const EXIT_MEANINGS: Readonly<Record<number, string>> = {
  [EXIT.sound]:
    'Every rig is sound: no finding at or above the failing level. A file without a rig has nothing to judge, and does not change this.',
  [EXIT.unsound]: 'At least one rig is unsound.',
  [EXIT.usage]:
    'The command or the standard is wrong, the report could not be written, or the run could not continue.',
  [EXIT.unreadable]:
    'At least one asset could not be read, or a rule of your own failed. All else was checked.',
  [EXIT.stopped]: 'The user stopped the run. The report has what was checked until then.',
};

/**
 * The exit code of a run that came to its end.
 *
 * @param verdict Null for a run with nothing to check.
 * @param failed Whether a rule failed: what it would have found is not known, as of a file that cannot
 * be read.
 */
export function exitCode(verdict: Verdict | null, failed = false): number {
  if (verdict === 'unreadable' || failed) return EXIT.unreadable;
  return verdict === 'unsound' ? EXIT.unsound : EXIT.sound;
}

/** Whether a rule of the house's own failed on an asset. */
export function hasFailed({ failed = [] }: AssetReport): boolean {
  return failed.length > 0;
}

/** The end of a command's help: what its exit codes mean, what else there is to know, and examples. */
export function helpEnd(
  examples: readonly string[],
  exits: typeof EXIT_MEANINGS = {},
  notes: readonly string[] = [],
): string {
  const codes = Object.entries(exits).map(([code, meaning]) => `  ${code.padEnd(4)}${meaning}`);
  return [
    ...(codes.length > 0 ? ['', 'Exit codes:', ...codes] : []),
    ...(notes.length > 0 ? ['', ...notes] : []),
    ...['', 'Examples:', ...examples.map((example) => `  ${example}`)],
  ].join('\n');
}
