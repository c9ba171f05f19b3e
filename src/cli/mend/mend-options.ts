import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Axis } from '../../measure/facts.js';
import { EXIT, exitLines } from '../exit-codes.js';
import type { Io } from '../io.js';
import { addLedgerOptions, addStandardOptions, ruleList } from '../run/options.js';
import type { MendFlags } from './mend-command.js';

/** Adds `trysquare mend` to the command tree; its code is loaded when it is called. */
export function addMend(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('mend')
    .summary('Mend a rig, and prove that nothing visible changed.')
    .description(
      'Mend what was found where that can be done exactly, without moving a vertex as the rig is stored or in any of its clips: plans from the findings, changes how the rig is stored, skins every vertex before and after in the stored pose and at all times of all clips, and writes only when both are the same. Tells what it left alone, and why.',
    )
    .argument('<file>', 'An asset (.glb, .gltf, .vrm).')
    .addOption(new Option('-o, --out <file>', 'File to write; never the one that is mended.'));
  addStandardOptions(command, 'Hold the rig to this standard.');
  addLedgerOptions(command, 'Leave alone what this ledger waives.');
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
        'Also turn the frames of the whole rig, so that this axis runs along the bones: +X, -X, +Y, -Y, +Z or -Z. Goes with --up.',
      ).argParser(axisOf),
    )
    .addOption(new Option('--up <axis>', 'The up axis that goes with --aim.').argParser(axisOf))
    .addOption(
      new Option(
        '--rest-from <pose>',
        'Where the stored pose is not the bind pose: "bind" stores the bind pose and lets the clips that move the rig play as they did, "pose" binds the mesh anew as it stands.',
      ).choices(['bind', 'pose']),
    )
    .addOption(
      new Option(
        '--resample',
        'Make curves anew as near as they come where nothing is exact, as for a clip that turns joints under an unequal scale. Goes with --allow-change.',
      ),
    )
    .addOption(
      new Option(
        '--allow-change <rules>',
        'Let the mend of what these rules or families find change what is seen, separated by commas. By how much is told and recorded in the file.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--pack',
        'Pack again what had to be unpacked to be mended. What is not mended stays packed as it is.',
      ),
    )
    .addOption(
      new Option(
        '--in-place',
        'Write over the file, which is kept beside it first, as FILE.before-mend.',
      ),
    )
    .addOption(new Option('--dry-run', 'Show the plan and the proof, and write nothing.'))
    .addOption(new Option('--replace', 'Let --out write over a file that is there already.'))
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
    [EXIT.sound, 'The rig is sound now, or would be after a dry run.'],
    [
      EXIT.unsound,
      'Something is left that makes it unsound, or a repair would have shown, or there was nothing that could be mended: in these two nothing is written.',
    ],
    [EXIT.usage, 'The command or the standard is wrong, or the file could not be written.'],
    [EXIT.unreadable, 'The asset could not be read, or holds what a mend would break.'],
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
