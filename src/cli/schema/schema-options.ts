import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import type { SchemaName } from './schema-command.js';

/** Adds `trysquare schema` to the command tree; its code is loaded when it is called. */
export function addSchema(program: Command, io: Io): void {
  const names: SchemaName[] = ['standard', 'report', 'waivers', 'mend', 'grades'];
  program
    .command('schema')
    .description('Print the JSON Schema of a file that trysquare reads or writes.')
    .addArgument(program.createArgument('<of>', 'Which file.').choices(names))
    .addHelpText(
      'after',
      helpEnd(['trysquare schema standard > standard.schema.json', 'trysquare schema report']),
    )
    .action(async (name: SchemaName) => {
      const { printSchema } = await import('./schema-command.js');
      await printSchema(name, io);
    });
}
