import { type Command, InvalidArgumentError } from 'commander';
import type { Axis } from '../../measure/facts.js';
import { EXIT, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  ledgerOptions,
  OWN_OPTION,
  REPLACE_OPTION,
  standardOptions,
} from '../run/options.js';
import type { MendFlags } from './mend-flags.js';

/** Adds `trysquare mend` to the command tree; its code is loaded when it is called. */
export function addMend(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('mend')
    .summary('Mend a rig, and prove that it looks the same.')
    .description(
      'Mend the faults that can be mended exactly, so that no vertex moves, as the rig is stored or in any clip. The command plans from the findings and changes how the rig is stored. It computes every vertex before and after, in the stored pose and at all times of all clips, and writes the file only if both are the same. It lists what it did not mend, and why.',
    )
    .argument('<file>', 'An asset (.glb, .gltf, .vrm).');
  addOptions(command, {
    '-o, --out <file>': 'File to write. It cannot be the file that is mended.',
    ...standardOptions('Check the rig against this standard.'),
    ...ledgerOptions('Do not mend what this ledger waives.'),
    ...OWN_OPTION,
    '--only <rules>':
      'Mend only what these rules, such as axis.up, or families of rules, such as axis, find. Separate them with commas.',
    '--skip <rules>':
      'Do not mend what these rules or families of rules find. Separate them with commas.',
    '--also <rules>':
      'Also make the mends for these rules or families that are only made when asked: those that change the joint tree, the list of joints or names, and those that bring up another finding. Separate them with commas.',
    '--like <file>':
      'Make the rig like the approved one in this file: its frames and names become those of the approved rig, so that clips made for that play on it.',
    '--aim <axis>': [
      'Also turn the frames of the whole rig, so that this axis runs along the bones: +X, -X, +Y, -Y, +Z or -Z. Use it with --up.',
      parseAxis,
    ],
    '--up <axis>': ['The up axis. Use it with --aim.', parseAxis],
    '--rest-from <pose>': [
      'For a rig whose stored pose is not its bind pose. "bind" stores the bind pose, and the clips that move the rig play as before. "pose" binds the mesh again in the stored pose.',
      ['bind', 'pose'],
    ],
    '--resample':
      'Compute new curves, as close as possible, where no exact mend exists, such as for a clip that turns joints under an unequal scale. Use it with --allow-change.',
    '--allow-change <rules>':
      'Allow a mend of what these rules or families find to change how the rig looks. Separate them with commas. The size of the change is shown, and recorded in the file.',
    '--pack':
      'Pack again the data that had to be unpacked for the mend. Data that is not mended stays packed.',
    '--in-place': 'Overwrite the file. A copy is kept beside it first, as FILE.before-mend.',
    '--dry-run': 'Show the plan and the proof, and write nothing.',
    ...REPLACE_OPTION,
  });
  const examples = [
    'trysquare mend heron.glb --dry-run',
    'trysquare mend heron.glb -o heron-mended.glb',
    'trysquare mend heron.glb --only axis.up,axis.aim -o heron-mended.glb',
    'trysquare mend heron.glb --also name,skin.idle -o heron-mended.glb',
    'trysquare mend heron.glb --like approved.glb -o heron-like.glb',
    'trysquare mend heron.glb --aim +X --up +Y -o heron-x.glb',
    'trysquare mend heron.glb --rest-from bind --allow-change rest.bind -o heron-mended.glb',
  ];
  const exits = {
    [EXIT.sound]: 'The rig is sound after the mend (or would be, with --dry-run).',
    [EXIT.unsound]:
      'The rig is still unsound, or a repair would change how it looks, or nothing could be mended. In the last two cases nothing is written.',
    [EXIT.usage]: 'The command or the standard is wrong, or the file could not be written.',
    [EXIT.unreadable]: 'The asset could not be read, or it has data that a mend would break.',
  };
  command
    .addHelpText('after', helpEnd(examples, exits))
    .action(async (file: string, flags: MendFlags) => {
      const { runMend } = await import('./mend-command.js');
      done(await runMend(file, flags, io));
    });
}

function parseAxis(value: string): Axis {
  const [, sign, letter = ''] = /^([+-]?)([xyz])$/i.exec(value) ?? [];
  const index = 'xyz'.indexOf(letter.toLowerCase());
  if (sign === undefined || (index !== 0 && index !== 1 && index !== 2))
    throw new InvalidArgumentError('Give a signed axis, such as +Y.');
  return { index, sign: sign === '-' ? -1 : 1 };
}
