import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';

/** Adds `trysquare rules` to the command tree; its code is loaded when it is called. */
export function addRules(program: Command, io: Io, done: (code: number) => void): void {
  const examples = ['trysquare rules', 'trysquare rules axis', 'trysquare rules axis.up'];
  program
    .command('rules')
    .summary('List the rules, or explain one.')
    .description(
      'List the rules with their levels. Or explain one rule: why it matters, how it is measured, what to do, its limits and its source.',
    )
    .argument('[id]', 'A rule such as axis.up, or a family such as axis.')
    .addHelpText('after', helpEnd(examples))
    .action(async (id: string | undefined) => {
      const { runRules } = await import('./rules-command.js');
      done(await runRules(id, io));
    });
}
