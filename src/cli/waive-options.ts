import { type Command, Option } from 'commander';
import type { Io } from './io.js';
import type { WaiveFlags } from './waive-command.js';

/** Adds `trysquare waive` to the command tree; its code is loaded when it is called. */
export function addWaive(program: Command, io: Io, done: (code: number) => void): void {
  program
    .command('waive')
    .summary('Let findings of a report stand, with who says so and why.')
    .description(
      "Let findings of a report stand: adds waivers to the ledger, trysquare.waivers.json, which check then goes by. Run it in the folder that the check ran in, since the report's paths are relative to it.",
    )
    .argument('<report>', 'A report that check --format json wrote, or - for standard input.')
    .addOption(new Option('--rule <rule>', 'Waive findings of this rule.'))
    .addOption(
      new Option(
        '--asset <path>',
        'Waive them in this asset of the report, or in those that fit a pattern in quotes.',
      ),
    )
    .addOption(
      new Option(
        '--joint <path>',
        'Waive them at this joint only: its whole path in the report, or * for any joint. Without it, everywhere in the asset.',
      ),
    )
    .addOption(
      new Option(
        '--all',
        'Waive every finding that makes an asset unsound, each by its own joint, so that only new faults fail. The options above narrow it.',
      ),
    )
    .addOption(
      new Option('--level <level>', 'With --all, waive findings at this level or above.').choices([
        'error',
        'warning',
        'note',
      ]),
    )
    .addOption(new Option('--why <text>', 'Why they may stand.').makeOptionMandatory())
    .addOption(new Option('--by <name>', 'Who says so.').makeOptionMandatory())
    .addOption(
      new Option(
        '--until <date>',
        'Last day the waivers hold, YYYY-MM-DD in UTC. Default: no end.',
      ),
    )
    .addOption(
      new Option(
        '--ledger <file>',
        'The ledger to add to. Default: the nearest trysquare.waivers.json upward from here, else a new one beside the standard, else here.',
      ),
    )
    .addHelpText(
      'after',
      [
        '',
        'Examples:',
        '  trysquare check puppets/ --format json --out rigs.json',
        '  trysquare waive rigs.json --rule axis.up --asset puppets/heron.glb --joint body/neck --why "The neck is a crank" --by "prop room"',
        '  trysquare waive rigs.json --rule chain.hinge --asset "puppets/mule*.glb" --why "Knees are locked" --by "prop room" --until 2031-05-01',
        '  trysquare waive rigs.json --all --why "Built before the standard" --by "rigging"',
        '  trysquare check puppets/ --format json | trysquare waive - --all --level warning --why "Last season" --by "rigging"',
      ].join('\n'),
    )
    .action(async (report: string, flags: WaiveFlags) => {
      const { runWaive } = await import('./waive-command.js');
      done(await runWaive(report, flags, io));
    });
}
