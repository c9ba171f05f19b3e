import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addOptions, NEAREST_HERE, OWN_OPTION, standardOptions } from '../run/options.js';
import type { RulesFlags } from './rules-command.js';

/** Adds `trysquare rules` to the command tree; its code is loaded when it is called. */
export function addRules(program: Command, io: Io, done: (code: number) => void): void {
  const examples = [
    'trysquare rules',
    'trysquare rules axis',
    'trysquare rules axis.up',
    'trysquare rules --out handbook.html',
    'trysquare rules axis.up --out axis-up.html',
    'trysquare rules --standard house.json --out handbook.html',
  ];
  const command = program
    .command('rules')
    .summary('List the rules, or explain one.')
    .description(
      'List the rules with their levels. Or explain one rule: why it matters, how it is measured, what to do, its limits and its source. With --out, write this as the handbook: a page with drawings of each fault and its mend, and a short course.',
    )
    .argument('[id]', 'A rule such as axis.up, or a family such as axis.');
  addOptions(command, {
    '-o, --out <file>':
      'Write the handbook to this file, such as handbook.html; "-" is standard output. With a rule or a family, only its part.',
    '--replace': 'Overwrite a file that exists.',
    ...standardOptions(
      'Show the limits and levels that this standard sets, with the defaults in brackets.',
      ' Show the defaults.',
      NEAREST_HERE,
    ),
    ...OWN_OPTION,
  })
    .addHelpText('after', helpEnd(examples))
    .action(async (id: string | undefined, flags: RulesFlags) => {
      const { runRules } = await import('./rules-command.js');
      done(await runRules(id, flags, io));
    });
}
