import { type Command, InvalidArgumentError } from 'commander';
import type { Axis } from '../../measure/facts.js';
import { EXIT, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  handbookHelp,
  ledgerOptions,
  MEND_LIST_OPTIONS,
  OWN_OPTION,
  standardOptions,
} from '../run/options.js';
import type { MendFlags } from './mend-flags.js';

/** Adds `trysquare mend` to the command tree; its code is loaded when it is called. */
export function addMend(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('mend')
    .summary('Mend rigs, and prove that they look the same.')
    .description(
      'Mend the faults that can be mended exactly, so that no vertex moves, as the rig is stored or in any clip. The command plans from the findings and changes how the rig is stored. It computes every vertex before and after, in the stored pose and at all times of all clips, and writes the file only if both are the same. It lists what it did not mend, and why.',
    )
    .argument('<path...>', 'Assets (.glb, .gltf, .vrm), folders to search, or patterns.');
  addOptions(command, {
    '-o, --out <file>':
      'File to write, for one asset. It cannot be the file that is mended. In another folder, it gets copies of the files that the asset names, such as textures.',
    '--out-dir <dir>':
      'Folder to write to, for one or more assets. The folders below the one that is searched are kept. Buffers, textures and other files that an asset names go along. What lies in this folder is not mended again.',
    '--sound <what>': [
      'With --out-dir: "copy" also copies sound assets in which there is nothing to mend, so that the folder is complete. "leave" does not. Default: leave.',
      ['copy', 'leave'],
    ],
    '--report <file>':
      'Write a report in JSON to this file: the plan with every value before and after, what was left and why, the proof, and both verdicts.',
    '-q, --quiet': 'Tell only faults, and the last line.',
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
      'Make each rig like the approved one in this file: its frames and names become those of the approved rig, so that clips made for that play on it. Without it, the approved rig that a standard names is only compared with.',
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
    '--in-place': 'Overwrite each file. A copy is kept beside it first, as FILE.before-mend.',
    '--dry-run': 'Show the plan and the proof, and write nothing.',
    '--page <file>': [
      'Also write a page (.html) or a drawing (.svg) that shows the rig before and after: both rigs in any clip, changed joints, curls, the proof over time, and the findings. With --dry-run it shows the plan. Can be given several times, as for a page and a drawing.',
      (value) => [value],
    ],
    '--handbook <place>': handbookHelp('The page leads', 'or a file'),
    '--replace': 'Allow --out, --out-dir, --report and --page to overwrite files that exist.',
    '--without <pattern>': [
      'Do not search these folders or mend these files, such as old or "draft-*.glb". A name without a slash counts in every folder; a path begins at the working folder. Can be given several times. A file that you name yourself is always mended; a folder is not.',
      (value) => [value],
    ],
    ...MEND_LIST_OPTIONS,
  });
  const examples = [
    'trysquare mend heron.glb --dry-run',
    'trysquare mend heron.glb -o heron-mended.glb',
    'trysquare mend heron.glb -o heron-mended.glb --page heron-mended.html',
    'trysquare mend puppets/ --out-dir mended --sound copy --report mend.json',
    'trysquare mend "puppets/*/heron.glb" --in-place --quiet',
    'trysquare mend heron.glb --only axis.up,axis.aim -o heron-mended.glb',
    'trysquare mend heron.glb --also name,skin.idle -o heron-mended.glb',
    'trysquare mend heron.glb --like approved.glb -o heron-like.glb',
    'trysquare mend puppets/ --like approved.glb --out-dir like',
    'trysquare mend heron.glb --aim +X --up +Y -o heron-x.glb',
    'trysquare mend heron.glb --rest-from bind --allow-change rest.bind -o heron-mended.glb',
  ];
  const exits = {
    [EXIT.sound]: 'Each rig is sound after the mend (or would be, with --dry-run).',
    [EXIT.unsound]: 'A rig was mended and written, and is still unsound.',
    [EXIT.usage]: 'The command or the standard is wrong, or a file could not be written.',
    [EXIT.unreadable]:
      'An asset could not be read, or it has data that a mend would break; or a rule of your own failed.',
    [EXIT.unwritten]:
      'Nothing was written of a rig: it is unsound and nothing could be mended, a repair would change how it looks, or it could not be turned as asked.',
    [EXIT.stopped]: 'The user stopped the run. What was mended until then is written.',
  };
  command
    .addHelpText('after', helpEnd(examples, exits, [WORST]))
    .action(async (paths: string[], flags: MendFlags) => {
      const { runMend } = await import('./mend-command.js');
      done(await runMend(paths, flags, io));
    });
}

/** What the code of several assets is. */
const WORST = 'Of several assets the worst code counts: 2, then 3, 4, 1 and 0.';

function parseAxis(value: string): Axis {
  const [, sign, letter = ''] = /^([+-]?)([xyz])$/i.exec(value) ?? [];
  const index = 'xyz'.indexOf(letter.toLowerCase());
  if (sign === undefined || (index !== 0 && index !== 1 && index !== 2))
    throw new InvalidArgumentError('Give a signed axis, such as +Y.');
  return { index, sign: sign === '-' ? -1 : 1 };
}
