import type { Verdict } from '../report/report-types.js';

/** Exit codes. The worst of a run counts: 3 over 1 over 0. A run that was stopped has its own. */
export const EXIT = { sound: 0, unsound: 1, usage: 2, unreadable: 3, stopped: 130 } as const;

/** What each exit code means, for help and the README. */
export const EXIT_MEANINGS: readonly { readonly code: number; readonly means: string }[] = [
  { code: EXIT.sound, means: 'Every rig is sound: no finding at or above the failing level.' },
  { code: EXIT.unsound, means: 'At least one rig is unsound.' },
  {
    code: EXIT.usage,
    means:
      'The command or the standard is wrong, the report could not be written, or the run could not continue.',
  },
  {
    code: EXIT.unreadable,
    means: 'At least one asset could not be read. The others were checked.',
  },
  {
    code: EXIT.stopped,
    means: 'The user stopped the run. The report has what was checked until then.',
  },
];

export function exitTable(): string {
  return exitLines(EXIT_MEANINGS.map(({ code, means }) => [code, means])).join('\n');
}

/** The exit code of a run that came to its end; null is one with nothing to check. */
export function exitCode(verdict: Verdict | null): number {
  if (verdict === 'unreadable') return EXIT.unreadable;
  return verdict === 'unsound' ? EXIT.unsound : EXIT.sound;
}

/** The exit codes of one command, as lines for the end of its help. */
export function exitLines(exits: readonly (readonly [code: number, means: string])[]): string[] {
  return ['Exit codes:', ...exits.map(([code, means]) => `  ${String(code).padEnd(4)}${means}`)];
}
