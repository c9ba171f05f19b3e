import { Command, Option } from 'commander';
import { EXIT, exitLines } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addBatchOptions } from '../run/options.js';
import type { GradeFlags } from './grade-command.js';

/** Adds `trysquare grade` to the command tree; its code is loaded when it is called. */
export function addGrade(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('grade')
    .summary('Grade a folder of submissions, with feedback for each.')
    .description(
      "Grade a folder of submissions: each file or folder directly in it is one. Writes a gradebook and, for each submission, feedback with what to fix first. Points go by the standard's rubric; what cannot be graded is listed for a person to look at.",
    )
    .argument('<folder>', 'The folder of the class.')
    .addOption(
      new Option(
        '-s, --standard <file>',
        'Hold rigs to this standard and its points. Without it the nearest trysquare.json upward from here is used.',
      ),
    )
    .addOption(
      new Option(
        '--no-standard',
        'Use no standard, even if there is a trysquare.json, and the default points.',
      ),
    )
    .addOption(
      new Option(
        '-o, --out <dir>',
        'Folder for the gradebook and the feedback, which is made where there is none. Default: grades.',
      ),
    )
    .addOption(
      new Option(
        '--replace',
        'Let it write over a gradebook and feedback that are there already. Nothing is deleted.',
      ),
    )
    .addOption(
      new Option(
        '--pages',
        'Also write a page with drawings and a live view for each rig, and index.html, a contact sheet that leads to them.',
      ),
    );
  for (const option of batchOptions()) command.addOption(option);
  command
    .addOption(new Option('-q, --quiet', 'Leave the table of the class and the progress line out.'))
    .addHelpText('after', helpEnd())
    .action(async (folder: string, flags: GradeFlags) => {
      const { runGrade } = await import('./grade-command.js');
      done(await runGrade(folder, flags, io));
    });
}

/** How a list is worked through; a class is graded whole, never in shares. */
function batchOptions(): readonly Option[] {
  return addBatchOptions(new Command()).options.filter(({ long }) => long !== '--part');
}

function helpEnd(): string {
  const exits = [
    [EXIT.sound, 'Every submission was graded, whatever its points.'],
    [EXIT.usage, 'The command or the standard is wrong, or the grades could not be written.'],
    [
      EXIT.unreadable,
      'At least one submission could not be graded and needs a person to look; the others were.',
    ],
    [EXIT.stopped, 'Stopped by the user before the end; nothing was written.'],
  ] as const;
  return [
    '',
    ...exitLines(exits),
    '',
    'Points: each family of rules has some, 100 in all unless the standard says otherwise ("points").',
    'A rule costs: points of its family x its weight / weights of the rules of the family that applied',
    'x what fell short / what was looked at. Weights: error rules 3, warning rules 2, note rules 1.',
    'A family is rounded once, to one decimal. One that does not apply is left out of what is possible.',
    'Names that begin with a point are no submissions, and links are not followed.',
    '',
    'Examples:',
    '  trysquare grade class/',
    '  trysquare grade class/ --standard house.json --out marks',
    '  trysquare grade class/ --out marks --replace --quiet',
    '  trysquare grade class/ --pages',
  ].join('\n');
}
