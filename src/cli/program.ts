import { Command } from 'commander';
import { logLines } from '../report/log-marks.js';
import { version } from '../report/version.js';
import { visible } from '../report/visible.js';
import { addCheck } from './check/check-options.js';
import { addCompare } from './compare/compare-options.js';
import { addDraw } from './draw/draw-options.js';
import { EXIT_MEANINGS, helpEnd } from './exit-codes.js';
import { addGrade } from './grade/grade-options.js';
import type { Io } from './io.js';
import { addMend } from './mend/mend-options.js';
import { addMerge } from './merge/merge-options.js';
import { refuseEmpty } from './refuse-empty.js';
import { addRules } from './rules/rules-options.js';
import { addSchema } from './schema/schema-options.js';
import { addStandard } from './standard/standard-options.js';
import { addWaive } from './waive/waive-options.js';

/**
 * The command tree; help and the README's option tables are made from it. `done` is handed the exit
 * code of the command that was run.
 */
export function buildProgram(io: Io, done: (code: number) => void): Command {
  const program = new Command('trysquare')
    .description('Checks character rigs stored as glTF 2.0 skins, by measurement.')
    .version(version, '-V, --version', 'Print the version.')
    .helpOption('-h, --help', 'Print help for a command.')
    .helpCommand('help [command]', 'Print help for a command.')
    .showSuggestionAfterError()
    .exitOverride()
    .hook('preAction', (_, command) => refuseEmpty(command))
    .configureOutput({
      writeOut: (text) => void io.stdout.write(logLines(text)),
      writeErr: (text) => void io.stderr.write(logLines(text)),
      outputError: (text, write) => write(`${shown(plainer(text).trimEnd())}\n`),
      getOutHelpWidth: () => io.columns ?? 80,
      getErrHelpWidth: () => io.columns ?? 80,
    });
  // In the order of help.
  addCheck(program, io, done);
  addCompare(program, io, done);
  addDraw(program, io, done);
  addMend(program, io, done);
  addWaive(program, io, done);
  addGrade(program, io, done);
  addMerge(program, io, done);
  addRules(program, io, done);
  addStandard(program, io, done);
  addSchema(program, io);
  const examples = [
    'trysquare check heron.glb',
    'trysquare rules axis.up',
    'trysquare standard init',
  ];
  return program.addHelpText('after', helpEnd(examples, EXIT_MEANINGS));
}

/** A message of the parser, with what to do about it. */
function plainer(text: string): string {
  return text
    .replace(/^error: /, 'trysquare: ')
    .replace(
      "missing required argument 'path'",
      'no path is given: name a file, a folder or a pattern in quotes',
    )
    .replace(/\n\(Did you mean (.*)\?\)/, '. Did you mean $1?');
}

/** Letters of a message on standard error. */
const LONGEST = 2000;

/** A message as a terminal shows it, cut to a length that can be read. */
export function shown(message: string): string {
  const cut = message.length > LONGEST ? `${message.slice(0, LONGEST)} ...` : message;
  return cut.split('\n').map(visible).join('\n');
}
