import type { Command } from 'commander';
import type { Io } from '../io.js';

/** Adds `trysquare schema` to the command tree; its code is loaded when it is called. */
export function addSchema(program: Command, io: Io): void {
  program
    .command('schema')
    .description('Print the JSON Schema of a file that trysquare reads or writes.')
    .addArgument(
      program.createArgument('<of>', 'Which file.').choices(['standard', 'report', 'waivers']),
    )
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare schema standard > standard.schema.json\n  trysquare schema report',
    )
    .action(async (of: 'standard' | 'report' | 'waivers') => {
      const { printSchema } = await import('./schema-command.js');
      await printSchema(of, io);
    });
}
