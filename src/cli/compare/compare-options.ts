import type { Command } from 'commander';
import { EXIT_MEANINGS, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  BATCH_OPTIONS,
  ledgerOptions,
  NEAREST_HERE,
  OUTPUT_OPTIONS,
  OWN_OPTION_OF_APPROVED,
  standardOptions,
} from '../run/options.js';
import type { CompareFlags } from './compare-command.js';

/** Adds `trysquare compare` to the command tree; its code is loaded when it is called. */
export function addCompare(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('compare')
    .summary('Compare rigs with an approved rig.')
    .description(
      'Compare rigs with an approved rig: whether every clip that was made for the approved rig shows the same on them. Files that hold only clips are compared with it, too. With --clips and no candidate, the clips themselves are compared with it.',
    )
    .argument('<approved>', 'The asset with the approved rig.')
    .argument('[candidate...]', 'Assets to compare with it, folders to search, or patterns.');
  addOptions(command, {
    '--clips <path>': [
      'Take clips that were made for the approved rig from these files, folders or patterns, too. Can be given several times.',
      (value) => [value],
    ],
    ...standardOptions('Take levels and limits of the rules from this standard.', '', NEAREST_HERE),
    ...ledgerOptions('Findings that this ledger waives do not make a rig unsound.'),
    '--failing <level>': [
      'Findings at this level or above make a rig unsound. Default: the level that the standard names, else error.',
      ['error', 'warning', 'note', 'never'],
    ],
    '--only <rules>':
      'Run only these rules about the approved rig, such as fit.play. Separate them with commas.',
    '--skip <rules>': 'Do not run these rules. Separate them with commas.',
    ...OWN_OPTION_OF_APPROVED,
    '--without <pattern>': [
      'Do not search these folders or compare these files. A name without a slash counts in every folder; a path begins at the working folder. Can be given several times. A file that you name yourself is always compared; a folder is not.',
      (value) => [value],
    ],
    ...BATCH_OPTIONS,
    ...OUTPUT_OPTIONS,
  });
  const examples = [
    'trysquare compare approved/heron.glb deliveries/heron.glb',
    'trysquare compare approved/heron.glb deliveries/ --clips library/heron',
    'trysquare compare approved/heron.glb --clips "library/**/walk-*.glb"',
    'trysquare compare approved/heron.glb deliveries/ --out fit.html --out fit.sarif',
  ];
  command
    .addHelpText('after', helpEnd(examples, EXIT_MEANINGS))
    .action(async (approved: string, candidates: string[], flags: CompareFlags) => {
      const { runCompare } = await import('./compare-command.js');
      done(await runCompare(approved, candidates, flags, io));
    });
}
