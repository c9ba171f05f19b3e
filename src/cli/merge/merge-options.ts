import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addOptions, OUTPUT_OPTIONS, OWN_OPTION } from '../run/options.js';
import type { MergeFlags } from './merge-command.js';

/** Adds `trysquare merge` to the command tree; its code is loaded when it is called. */
export function addMerge(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('merge')
    .summary('Join the reports of several parts into one.')
    .description(
      'Join JSON reports, each of one part of a list, into the report that one run over the whole list would give. If a part is missing, the message names it.',
    )
    .argument(
      '<report...>',
      'Reports that "check --format json" wrote, or patterns of them in quotes.',
    );
  const examples = [
    'trysquare merge part-1.json part-2.json',
    'trysquare merge part-*.json --out rigs.sarif --out rigs.json',
  ];
  addOptions(command, { ...OWN_OPTION, ...OUTPUT_OPTIONS })
    .addHelpText('after', helpEnd(examples))
    .action(async (files: string[], flags: MergeFlags) => {
      const { runMerge } = await import('./merge-command.js');
      done(await runMerge(files, flags, io));
    });
}
