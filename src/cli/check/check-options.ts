import type { Command } from 'commander';
import { EXIT_MEANINGS, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  BATCH_OPTIONS,
  ledgerOptions,
  MORE_OPTIONS,
  OUTPUT_OPTIONS,
  OWN_OPTION,
  standardOptions,
} from '../run/options.js';
import type { CheckFlags } from './check-command.js';

/** Adds `trysquare check` to the command tree; its code is loaded when it is called. */
export function addCheck(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('check')
    .summary('Check rigs and report their faults.')
    .description(
      'Check rigs and report their faults. The report goes to standard output. Messages about the run go to standard error.',
    )
    .argument(
      '<path...>',
      'Assets (.glb, .gltf, .vrm), folders to search, patterns, or - for standard input.',
    );
  addOptions(command, {
    ...standardOptions('Check rigs against this standard.'),
    ...ledgerOptions('Findings that this ledger waives do not make a rig unsound.'),
    '--failing <level>': [
      'Findings at this level or above make a rig unsound. Default: the level that the standard names, else error.',
      ['error', 'warning', 'note', 'never'],
    ],
    '--only <rules>':
      'Run only these rules, such as axis.up, or families of rules, such as axis. Separate them with commas.',
    '--skip <rules>': 'Do not run these rules or families of rules. Separate them with commas.',
    ...OWN_OPTION,
    '--motion':
      'Also bend every joint by 60 degrees each way and measure how the skin changes. This takes longer than all other measures.',
    '--without <pattern>': [
      'Do not search these folders or check these files, such as old or "draft-*.glb". A name without a slash counts in every folder; a path begins at the working folder. Can be given several times. A file that you name yourself is always checked; a folder is not.',
      (value) => [value],
    ],
    '--watch':
      'Keep running after the first check. Check each file again when it is exported, and show first what changed. With --out FILE.html, also keep that page of one file current while it is open in a browser.',
    ...BATCH_OPTIONS,
    ...MORE_OPTIONS,
    ...OUTPUT_OPTIONS,
  });
  const examples = [
    'trysquare check heron.glb',
    'trysquare check heron.glb --motion --each-rule',
    'trysquare check heron.glb --watch',
    'trysquare check heron.glb --watch --out heron.html',
    'trysquare check puppets/ --only axis,rest',
    'trysquare check puppets/ --with ./house/props.mjs',
    'trysquare check puppets/ --without puppets/old --without "**/draft-*"',
    'trysquare check puppets/ --standard house.json --failing warning --quiet',
    'trysquare check puppets/ --format sarif --sarif-for code-scanning --out rigs.sarif',
    'trysquare check puppets/ --out rigs.sarif --out rigs.xml --out -',
    'trysquare check puppets/ --part 2/5 --out part-2.json',
    'trysquare check heron.glb --format json --transforms',
    'cat mule.glb | trysquare check -',
  ];
  command
    .addHelpText('after', helpEnd(examples, EXIT_MEANINGS))
    .action(async (paths: string[], flags: CheckFlags) => {
      const { runCheck } = await import('./check-command.js');
      done(await runCheck(paths, flags, io));
    });
}
