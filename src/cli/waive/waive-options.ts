import { type Command, Option } from 'commander';
import type { Io } from '../io.js';
import type { WaiveFlags } from './waive-command.js';

/** Adds `trysquare waive` to the command tree; its code is loaded when it is called. */
export function addWaive(program: Command, io: Io, done: (code: number) => void): void {
  program
    .command('waive')
    .summary('Let findings of a report stand, with who says so and why; keep that list up.')
    .description(
      "Let findings of a report stand: adds waivers to the ledger, trysquare.waivers.json, which check then goes by. A waiver holds what is accepted: what is worse by more than a tenth, or at another place, still fails. Run it in the folder that the check ran in, since the report's paths are relative to it.",
    )
    .argument('[report]', 'A report that check --format json wrote, or - for standard input.')
    .addOption(
      new Option(
        '--rule <rule>',
        'Waive findings of this rule, such as axis.up, or of this family of rules, such as axis.',
      ),
    )
    .addOption(
      new Option(
        '--asset <path>',
        'Waive them in this asset of the report, or in those that fit a pattern in quotes.',
      ),
    )
    .addOption(
      new Option(
        '--joint <path>',
        'Waive them at this joint only: its whole path in the report, or * for any joint. Without it, at all places that the report tells.',
      ),
    )
    .addOption(
      new Option(
        '--all',
        'Waive every finding that makes an asset unsound, each as it is now, so that only new and worse faults fail. With --until, what is waived for less long is waived anew. The options above narrow it.',
      ),
    )
    .addOption(
      new Option('--level <level>', 'With --all, waive findings at this level or above.').choices([
        'error',
        'warning',
        'note',
      ]),
    )
    .addOption(new Option('--why <text>', 'Why they may stand.'))
    .addOption(new Option('--by <name>', 'Who says so.'))
    .addOption(
      new Option(
        '--until <date>',
        'Last day the waivers hold, YYYY-MM-DD in UTC, or never. Default: no end.',
      ),
    )
    .addOption(
      new Option(
        '--renew',
        'Write waivers anew from the report, in their places: those past their day, those whose findings are more than they accepted and, with --until, those that end before that day. Why, by and until stay as they are where not given; --rule, --asset and --joint narrow it.',
      ),
    )
    .addOption(
      new Option(
        '--carry-over',
        'Have every waiver that does not say what it accepted say so, as the report shows it now.',
      ),
    )
    .addOption(
      new Option(
        '--prune',
        'Take out waivers that are past their day and, where a report is named, those for its assets that fit none of their findings any more.',
      ),
    )
    .addOption(
      new Option(
        '--gone',
        'With --prune, also take out waivers for an asset that is not there any more. Without it they are only told, since it may have moved. Needs no report.',
      ),
    )
    .addOption(
      new Option(
        '--move <old new...>',
        'Have waivers follow an asset, or a folder with all below it, from one path to another. Needs no report.',
      ),
    )
    .addOption(
      new Option(
        '--names <file>',
        'With --move, joints that have other names now: FILE.names.json, which mend wrote.',
      ),
    )
    .addOption(new Option('--dry-run', 'Say what would change, and write nothing.'))
    .addOption(
      new Option(
        '--ledger <file>',
        'The ledger to change. Default: the nearest trysquare.waivers.json upward from here, else a new one beside the standard, else here.',
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
        '  trysquare waive rigs.json --renew --until 2032-05-01 --dry-run',
        '  trysquare waive rigs.json --prune',
        '  trysquare waive --prune --gone --dry-run',
        '  trysquare waive --move puppets/mule.glb stable/mule.glb',
        '  trysquare waive --move heron.glb heron-mended.glb --names heron-mended.names.json',
        '  trysquare waive old-rigs.json --carry-over',
      ].join('\n'),
    )
    .action(async (report: string | undefined, flags: WaiveFlags) => {
      const { runWaive } = await import('./waive-command.js');
      done(await runWaive(report, flags, io));
    });
}
