import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';

/** Adds `trysquare standard` to the command tree; its code is loaded when it is called. */
export function addStandard(program: Command, io: Io, done: (code: number) => void): void {
  const standard = program.command('standard').description('Work with the standard of a house.');
  standard
    .command('init')
    .description(
      'Write a standard with comments, to start from. A file that exists is not overwritten.',
    )
    .argument('[file]', 'Where to write it.', 'trysquare.json')
    .addHelpText(
      'after',
      helpEnd(['trysquare standard init', 'trysquare standard init house/walkers.json']),
    )
    .action(async (file: string) => {
      const { initStandard } = await import('./standard-command.js');
      done(await initStandard(file, io));
    });
}
