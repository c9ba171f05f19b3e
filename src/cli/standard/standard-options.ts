import type { Command } from 'commander';
import { helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addOptions, BATCH_OPTIONS } from '../run/options.js';
import type { StandardFlags } from './standard-flags.js';

/** The time that each rig may take, as for a check. */
const TIME_LIMIT = Object.fromEntries(
  Object.entries(BATCH_OPTIONS).filter(([flags]) => flags.startsWith('--time-limit ')),
);

/** Adds `trysquare standard` to the command tree; its code is loaded when it is called. */
export function addStandard(program: Command, io: Io, done: (code: number) => void): void {
  const standard = program.command('standard').description('Work with the standard of a house.');
  const init = standard
    .command('init')
    .description(
      'Write a standard with comments, to start from. A file that exists is not overwritten.',
    )
    .argument('[file]', 'Where to write it.', 'trysquare.json');
  addOptions(init, {
    '--like <path...>':
      'Read the standard off these approved rigs: assets, folders to search, patterns, or -. All of them are sound under it. Name the file to write before this option.',
    '--without <pattern>': [
      'With --like, do not search these folders or read these files. A name without a slash counts in every folder; a path begins at the working folder. Can be given several times.',
      (value) => [value],
    ],
    ...TIME_LIMIT,
  });
  const examples = [
    'trysquare standard init',
    'trysquare standard init house/walkers.json',
    'trysquare standard init --like approved/heron.glb approved/mule.glb',
    'trysquare standard init house/walkers.json --like approved/ --without approved/old',
  ];
  init
    .addHelpText('after', helpEnd(examples))
    .action(async (file: string, flags: StandardFlags) => {
      const { initStandard } = await import('./standard-command.js');
      done(await initStandard(file, flags, io));
    });
}
