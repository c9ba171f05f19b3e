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
import type { GradeFlags } from './grade-flags.js';

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
    '--like <model>':
      'Compare each submission with this model, a rig of the same mesh: chains that are missing, and joints out of place. Joints are found by their place, whatever their names. Default: the model that the standard names ("submissions", "like"). Without points of the standard, "fit" then has 15 of 100, and "root", "chain" and "place" 5 fewer each.',
    '--since <grades>':
      'Compare with older grades: the folder of an earlier run, or its gradebook (which has points and grades alone). Tells the change in points and grades, what was mended, what is new, and who has not handed in again. Older points become columns of the new gradebook. Nothing is changed where they lie.',
    '--due <date>':
      'Tell who is late: whose newest file was changed after this date, such as 2026-03-01T18:00 (the time of this machine). A day alone ends at midnight. Copying and unpacking can change the time of a file. Points do not depend on it.',
    '--anonymous':
      'Use codes instead of the names of submissions and files, in all that is written. The key tells which code is whose. Names inside of a rig are not changed.',
    '--key <file>':
      'With --anonymous: the key. If it exists, its codes are used again, and only new ones are added at its end. Default: the folder of the grades with -key.csv behind its name.',
    '--pages':
      'Also write pages: the feedback of each submission, to be printed on two sheets; each rig, with drawings and a live view; index.html for the class; and teacher.html for you alone, with near copies.',
    ...batchOptions,
    '-q, --quiet': 'Do not show the table of the class or the progress line.',
  });
  const examples = [
    'trysquare grade class/',
    'trysquare grade class/ --standard house.json --out marks',
    'trysquare grade class/ --out marks --replace --quiet',
    'trysquare grade class/ --pages',
    'trysquare grade class/ --like model/heron.glb --pages',
    'trysquare grade class/ --since grades --out grades-2 --due 2026-03-01T18:00',
    'trysquare grade class/ --anonymous --key course-key.csv --pages',
  ];
  const exits = {
    [EXIT.sound]: 'Every submission was graded. Points do not change this code.',
    [EXIT.usage]:
      'The command or the standard is wrong, the folder has no submission in it, or the grades could not be written.',
    [EXIT.unreadable]:
      'At least one submission could not be graded, and a person must look at it; or a rule of your own failed. The others were graded.',
    [EXIT.stopped]: 'The user stopped the run. Nothing was written.',
  };
  const notes = [
    'Points: each family of rules has some, 100 together unless the standard gives others ("points").',
    'A family loses half of them for warnings at 1 to 4 joints, and all of them for warnings at 5 or more',
    'or for one error. Notes cost nothing. An unsound rig gets 90 % of all points at most. Findings of some',
    'rules count as another level than they are reported at. Points are given as grades, too: A from 100,',
    'B from 50, C from 25, D from 0. The standard can change all of this ("grading").',
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
