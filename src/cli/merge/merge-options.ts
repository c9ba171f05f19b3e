import type { Command } from 'commander';
import type { Io } from '../io.js';
import type { OutputFlags } from '../output/format.js';
import { addOutputOptions } from '../run/options.js';

/** Adds `trysquare merge` to the command tree; its code is loaded when it is called. */
export function addMerge(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('merge')
    .summary('Join the reports of parts to one.')
    .description(
      'Join reports in JSON, each of a part of a list, to the report that one run over all of it would have given. Parts that are missing are named.',
    )
    .argument(
      '<report...>',
      'Reports that "check --format json" wrote, or patterns of them in quotes.',
    );
  addOutputOptions(command)
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare merge part-1.json part-2.json\n  trysquare merge part-*.json --out rigs.sarif --out rigs.json',
    )
    .action(async (files: string[], flags: OutputFlags) => {
      const { runMerge } = await import('./merge-command.js');
      done(await runMerge(files, flags, io));
    });
}
