import type { Command } from 'commander';
import { EXIT, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  BATCH_OPTIONS,
  NEAREST_HERE,
  OWN_OPTION,
  standardOptions,
} from '../run/options.js';
import type { GradeFlags } from './grade-command.js';

/** Adds `trysquare grade` to the command tree; its code is loaded when it is called. */
export function addGrade(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('grade')
    .summary('Grade a folder of submissions, with feedback for each.')
    .description(
      'Grade a folder of submissions. Each file or folder directly in it is one submission. The command writes a gradebook and feedback for each submission, which says what to fix first. The points of each family of rules come from the standard. Submissions that cannot be graded are listed, for a person to look at.',
    )
    .argument('<folder>', 'The folder of the class.');
  // A class is graded whole, never in parts.
  const { '--part <i/n>': _, ...batchOptions } = BATCH_OPTIONS;
  addOptions(command, {
    ...standardOptions(
      'Check rigs against this standard, and give its points.',
      ' Use the default points.',
      NEAREST_HERE,
    ),
    ...OWN_OPTION,
    '-o, --out <dir>':
      'Folder for the gradebook and the feedback. It is created if it does not exist. Default: grades.',
    '--replace': 'Overwrite a gradebook and feedback that exist. Nothing is deleted.',
    '--pages':
      'Also write a page for each rig, with drawings and a live view, and an index.html with small pictures that link to the pages.',
    ...batchOptions,
    '-q, --quiet': 'Do not show the table of the class or the progress line.',
  });
  const examples = [
    'trysquare grade class/',
    'trysquare grade class/ --standard house.json --out marks',
    'trysquare grade class/ --out marks --replace --quiet',
    'trysquare grade class/ --pages',
  ];
  const exits = {
    [EXIT.sound]: 'Every submission was graded. Points do not change this code.',
    [EXIT.usage]: 'The command or the standard is wrong, or the grades could not be written.',
    [EXIT.unreadable]:
      'At least one submission could not be graded, and a person must look at it; or a rule of your own failed. The others were graded.',
    [EXIT.stopped]: 'The user stopped the run. Nothing was written.',
  };
  const notes = [
    'Points: each family of rules has some, 100 together unless the standard gives others ("points").',
    'A family loses 1/3 of them for 1 to 4 joints at fault, 2/3 for 5 or more, and 1/6 more if any has',
    'an error. A joint with a warning only counts 1/2; notes cost nothing. An unsound rig keeps 70 % of its',
    'points. The standard can change all of this ("grading").',
    'A family is rounded once, to one decimal. A family that does not apply does not count.',
    'Names that begin with a dot are not submissions, and links are not followed.',
  ];
  command
    .addHelpText('after', helpEnd(examples, exits, notes))
    .action(async (folder: string, flags: GradeFlags) => {
      const { runGrade } = await import('./grade-command.js');
      done(await runGrade(folder, flags, io));
    });
}
