/** Exit codes. The worst of a run counts: 3 over 1 over 0. */
export const EXIT = { sound: 0, unsound: 1, usage: 2, unreadable: 3 } as const;

/** What each exit code means, for help and the README. */
export const EXIT_MEANINGS: readonly { readonly code: number; readonly means: string }[] = [
  { code: EXIT.sound, means: 'Every rig is sound: no finding at or above the failing level.' },
  { code: EXIT.unsound, means: 'At least one rig is unsound.' },
  {
    code: EXIT.usage,
    means: 'The command or the standard is wrong, or the report could not be written.',
  },
  {
    code: EXIT.unreadable,
    means: 'At least one asset could not be read; the others were checked.',
  },
];

export function exitTable(): string {
  return ['Exit codes:', ...EXIT_MEANINGS.map(({ code, means }) => `  ${code}  ${means}`)].join(
    '\n',
  );
}
