import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addOptions, OWN_OPTION } from '../run/options.js';
import type { OwnFlags } from '../run/own-rules.js';

/** Adds `trysquare rules` to the command tree; its code is loaded when it is called. */
export function addRules(program: Command, io: Io, done: (code: number) => void): void {
  const examples = ['trysquare rules', 'trysquare rules axis', 'trysquare rules axis.up'];
  const command = program
    .command('rules')
    .summary('List the rules, or explain one.')
    .description(
      'List the rules with their levels. Or explain one rule: why it matters, how it is measured, what to do, its limits and its source.',
    )
    .argument('[id]', 'A rule such as axis.up, or a family such as axis.');
  addOptions(command, OWN_OPTION)
    .addHelpText('after', helpEnd(examples))
    .action(async (id: string | undefined, flags: OwnFlags) => {
      const { runRules } = await import('./rules-command.js');
      done(await runRules(id, flags, io));
    });
}
