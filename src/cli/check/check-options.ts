import { type Command, Option } from 'commander';
import { exitTable } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addBatchOptions,
  addLedgerOptions,
  addOutputOptions,
  addStandardOptions,
  familyList,
} from '../run/options.js';
import type { CheckFlags } from './check-command.js';

/** Adds `trysquare check` to the command tree; its code is loaded when it is called. */
export function addCheck(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('check')
    .summary('Check rigs and report what is out of true.')
    .description(
      'Check rigs and report what is out of true. The report goes to standard output, messages about the run to standard error.',
    )
    .argument(
      '<path...>',
      'Assets (.glb, .gltf, .vrm), folders to search, patterns, or - for standard input.',
    );
  addStandardOptions(command, 'Hold rigs to this standard.');
  addLedgerOptions(command, 'Let the findings that this ledger waives stand.');
  command
    .addOption(
      new Option(
        '--failing <level>',
        'Findings at this level or above make a rig unsound. Default: the standard, else error.',
      ).choices(['error', 'warning', 'note', 'never']),
    )
    .option(
      '--only <families>',
      'Run only these families of rules (not single rules), separated by commas.',
      familyList,
    )
    .option(
      '--skip <families>',
      'Leave these families of rules out, separated by commas.',
      familyList,
    )
    .option(
      '--motion',
      'Also bend every joint by 60 degrees each way and measure what the skin does. Takes longer than all else.',
    );
  command.option(
    '--without <pattern>',
    'Leave what fits out of folders and patterns that are searched, such as old/ or "**/draft-*.glb". May be given several times; what is named itself is checked.',
    (value, earlier: string[] | undefined) => [...(earlier ?? []), value],
  );
  command.option(
    '--watch',
    'Go on after the first check: check what is exported again, and tell first what changed.',
  );
  addOutputOptions(addBatchOptions(command))
    .addHelpText(
      'after',
      [
        '',
        exitTable(),
        '',
        'Examples:',
        '  trysquare check heron.glb',
        '  trysquare check heron.glb --motion --each-rule',
        '  trysquare check heron.glb --watch',
        '  trysquare check puppets/ --only axis,rest',
        '  trysquare check puppets/ --without puppets/old --without "**/draft-*"',
        '  trysquare check puppets/ --standard house.json --failing warning --quiet',
        '  trysquare check puppets/ --format sarif --sarif-for code-scanning --out rigs.sarif',
        '  trysquare check puppets/ --out rigs.sarif --out rigs.xml --out -',
        '  trysquare check puppets/ --part 2/5 --out part-2.json',
        '  cat mule.glb | trysquare check -',
      ].join('\n'),
    )
    .action(async (paths: string[], flags: CheckFlags) => {
      const { runCheck } = await import('./check-command.js');
      done(await runCheck(paths, flags, io));
    });
}
