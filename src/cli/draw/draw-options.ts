import type { Command } from 'commander';
import { EXIT, helpEnd } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  addOptions,
  ledgerOptions,
  OWN_OPTION,
  REPLACE_OPTION,
  standardOptions,
} from '../run/options.js';
import type { DrawFlags } from './draw-command.js';

/** Adds `trysquare draw` to the command tree; its code is loaded when it is called. */
export function addDraw(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('draw')
    .summary('Draw a rig with its findings, as SVG.')
    .description(
      'Draw a rig as SVG, from the front, the side and the top. The drawing shows the mesh, the bones, the joints with their axes, and every finding with its message. Where frames disagree, it shows what a curl does. The drawing goes to standard output. Messages about the run go to standard error. Any web browser can show the drawing, in light or dark colours.',
    )
    .argument('<file>', 'An asset (.glb, .gltf, .vrm), or - for standard input.');
  addOptions(command, {
    ...standardOptions('Check the rig against this standard.'),
    ...ledgerOptions('Mark findings that this ledger waives.'),
    '--only <rules>':
      'Mark only what these rules or families of rules find. Separate them with commas.',
    '--skip <rules>':
      'Do not mark what these rules or families of rules find. Separate them with commas.',
    ...OWN_OPTION,
    '--motion':
      'Also bend every joint by 60 degrees each way, and mark where the skin loses volume.',
    '--approved <file>':
      'Compare the rig with the approved rig of this asset, draw that over it in dashes, and mark where they differ. Default: the approved asset that the standard names for it.',
    '-o, --out <file>':
      'Write the drawing to a file; - means standard output, which is the default.',
    ...REPLACE_OPTION,
  });
  const examples = [
    'trysquare draw heron.glb -o heron.svg',
    'trysquare draw heron.glb --only axis -o heron-axes.svg',
    'trysquare draw heron.glb --approved approved/heron.glb -o heron-fit.svg',
    'cat mule.glb | trysquare draw - > mule.svg',
  ];
  const exits = {
    [EXIT.sound]: 'The rig was drawn. Findings do not change this code.',
    [EXIT.usage]: 'The command or the standard is wrong, or the drawing could not be written.',
    [EXIT.unreadable]:
      'The asset could not be read, and nothing was drawn; or a rule of your own failed, and the rig was drawn without it.',
  };
  command
    .addHelpText('after', helpEnd(examples, exits))
    .action(async (file: string, flags: DrawFlags) => {
      const { runDraw } = await import('./draw-command.js');
      done(await runDraw(file, flags, io));
    });
}
