import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addOptions, OWN_OPTION } from '../run/options.js';
import type { WaiveFlags } from './waive-flags.js';

/** Adds `trysquare waive` to the command tree; its code is loaded when it is called. */
export function addWaive(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('waive')
    .summary(
      'Accept findings of a report, with a name and a reason, and keep the list of them up to date.',
    )
    .description(
      'Accept findings of a report. The command adds waivers to the ledger, trysquare.waivers.json, and check then uses this ledger. A waiver records what was accepted. A fault that is worse by more than a tenth, or at another place, still makes the rig unsound. Run waive in the folder that the check ran in, because the paths in the report are relative to it.',
    )
    .argument('[report]', 'A report that check --format json wrote, or - for standard input.');
  addOptions(command, {
    '--rule <rule>':
      'Waive findings of this rule, such as axis.up, or of this family of rules, such as axis.',
    '--asset <path>':
      'Waive findings in this asset of the report, or in all that match a pattern in quotes.',
    '--joint <path>':
      'Waive findings at this joint only. Give its whole path as the report writes it, or * for any joint. Default: all places in the report.',
    '--all':
      'Waive every finding that makes an asset unsound, as it is now, so that only new or worse faults count. With --until, waivers that end earlier are extended. --rule, --asset and --joint limit the choice.',
    '--level <level>': [
      'With --all, waive findings at this level or above.',
      ['error', 'warning', 'note'],
    ],
    '--why <text>': 'Why the findings are accepted.',
    '--by <name>': 'Who accepts them.',
    '--until <date>':
      'Last day on which the waivers apply, YYYY-MM-DD in UTC, or never. Default: no end.',
    '--renew':
      'Replace waivers by new ones from the report: waivers whose last day is past, waivers whose findings are worse than accepted and, with --until, waivers that end before that day. Reason, name and last day stay the same if you do not give new ones. --rule, --asset and --joint limit the choice.',
    '--carry-over':
      'In every waiver that does not say what it accepted, record the findings as the report shows them now.',
    '--prune':
      'Remove waivers whose last day is past. If you name a report, also remove waivers for its assets that match no finding any more.',
    '--gone':
      'With --prune, also remove waivers for an asset that does not exist any more. Without --gone these waivers are only listed, because the asset may have moved. Needs no report.',
    '--move <old new...>':
      'Change the paths of waivers after an asset or a folder was moved from one path to another. Needs no report.',
    '--names <file>':
      'With --move, a list of joints that have new names: FILE.names.json, which mend wrote.',
    ...OWN_OPTION,
    '--dry-run': 'Show what would change, and write nothing.',
    '--ledger <file>':
      'The ledger to change. Default: the nearest trysquare.waivers.json in this folder or a folder above it, else a new file beside the standard, else in this folder.',
  });
  const examples = [
    'trysquare check puppets/ --format json --out rigs.json',
    'trysquare waive rigs.json --rule axis.up --asset puppets/heron.glb --joint body/neck --why "The neck is a crank" --by "prop room"',
    'trysquare waive rigs.json --rule chain.hinge --asset "puppets/mule*.glb" --why "Knees are locked" --by "prop room" --until 2031-05-01',
    'trysquare waive rigs.json --all --why "Built before the standard" --by "rigging"',
    'trysquare check puppets/ --format json | trysquare waive - --all --level warning --why "Last season" --by "rigging"',
    'trysquare waive rigs.json --renew --until 2032-05-01 --dry-run',
    'trysquare waive rigs.json --prune',
    'trysquare waive --prune --gone --dry-run',
    'trysquare waive --move puppets/mule.glb stable/mule.glb',
    'trysquare waive --move heron.glb heron-mended.glb --names heron-mended.names.json',
    'trysquare waive old-rigs.json --carry-over',
  ];
  command
    .addHelpText('after', helpEnd(examples))
    .action(async (report: string | undefined, flags: WaiveFlags) => {
      const { runWaive } = await import('./waive-command.js');
      done(await runWaive(report, flags, io));
    });
}
