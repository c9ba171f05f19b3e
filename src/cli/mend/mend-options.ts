import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Axis } from '../../measure/facts.js';
import { EXIT, exitLines } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addLedgerOptions, addStandardOptions, ruleList } from '../run/options.js';
import type { MendFlags } from './mend-flags.js';

/** Adds `trysquare mend` to the command tree; its code is loaded when it is called. */
export function addMend(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('mend')
    .summary('Mend a rig, and prove that it looks the same.')
    .description(
      'Mend the faults that can be mended exactly, so that no vertex moves, as the rig is stored or in any clip. The command plans from the findings and changes how the rig is stored. It computes every vertex before and after, in the stored pose and at all times of all clips, and writes the file only if both are the same. It lists what it did not mend, and why.',
    )
    .argument('<file>', 'An asset (.glb, .gltf, .vrm).')
    .addOption(
      new Option('-o, --out <file>', 'File to write. It cannot be the file that is mended.'),
    );
  addStandardOptions(command, 'Check the rig against this standard.');
  addLedgerOptions(command, 'Do not mend what this ledger waives.');
  command
    .addOption(
      new Option(
        '--only <rules>',
        'Mend only what these rules, such as axis.up, or families of rules, such as axis, find. Separate them with commas.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--skip <rules>',
        'Do not mend what these rules or families of rules find. Separate them with commas.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--aim <axis>',
        'Also turn the frames of the whole rig, so that this axis runs along the bones: +X, -X, +Y, -Y, +Z or -Z. Use it with --up.',
      ).argParser(axisOf),
    )
    .addOption(new Option('--up <axis>', 'The up axis. Use it with --aim.').argParser(axisOf))
    .addOption(
      new Option(
        '--rest-from <pose>',
        'For a rig whose stored pose is not its bind pose. "bind" stores the bind pose, and the clips that move the rig play as before. "pose" binds the mesh again in the stored pose.',
      ).choices(['bind', 'pose']),
    )
    .addOption(
      new Option(
        '--resample',
        'Compute new curves, as close as possible, where no exact mend exists, such as for a clip that turns joints under an unequal scale. Use it with --allow-change.',
      ),
    )
    .addOption(
      new Option(
        '--allow-change <rules>',
        'Allow a mend of what these rules or families find to change how the rig looks. Separate them with commas. The size of the change is shown, and recorded in the file.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--pack',
        'Pack again the data that had to be unpacked for the mend. Data that is not mended stays packed.',
      ),
    )
    .addOption(
      new Option(
        '--in-place',
        'Overwrite the file. A copy is kept beside it first, as FILE.before-mend.',
      ),
    )
    .addOption(new Option('--dry-run', 'Show the plan and the proof, and write nothing.'))
    .addOption(new Option('--replace', 'Allow --out to overwrite a file that exists.'))
    .addHelpText('after', helpEnd())
    .action(async (file: string, flags: MendFlags) => {
      const { runMend } = await import('./mend-command.js');
      done(await runMend(file, flags, io));
    });
}

function axisOf(value: string): Axis {
  const [, sign, letter = ''] = /^([+-]?)([xyz])$/i.exec(value) ?? [];
  const index = 'xyz'.indexOf(letter.toLowerCase());
  if (sign === undefined || (index !== 0 && index !== 1 && index !== 2))
    throw new InvalidArgumentError('Give a signed axis, such as +Y.');
  return { index, sign: sign === '-' ? -1 : 1 };
}

function helpEnd(): string {
  const exits = [
    [EXIT.sound, 'The rig is sound after the mend (or would be, with --dry-run).'],
    [
      EXIT.unsound,
      'The rig is still unsound, or a repair would change how it looks, or nothing could be mended. In the last two cases nothing is written.',
    ],
    [EXIT.usage, 'The command or the standard is wrong, or the file could not be written.'],
    [EXIT.unreadable, 'The asset could not be read, or it has data that a mend would break.'],
  ] as const;
  return [
    '',
    ...exitLines(exits),
    '',
    'Examples:',
    '  trysquare mend heron.glb --dry-run',
    '  trysquare mend heron.glb -o heron-mended.glb',
    '  trysquare mend heron.glb --only axis.up,axis.aim -o heron-mended.glb',
    '  trysquare mend heron.glb --aim +X --up +Y -o heron-x.glb',
    '  trysquare mend heron.glb --rest-from bind --allow-change rest.bind -o heron-mended.glb',
  ].join('\n');
}
