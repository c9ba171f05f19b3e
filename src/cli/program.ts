import { Command } from 'commander';
import { isNear } from '../house/nearest.js';
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
  tellErrors(program);
  const examples = [
    'trysquare check heron.glb',
    'trysquare rules axis.up',
    'trysquare standard init',
  ];
  return program.addHelpText('after', helpEnd(examples, EXIT_MEANINGS));
}

/** Has a command and those below it tell what is wrong in their line, each with its own help. */
function tellErrors(command: Command, above = ''): void {
  const name = `${above}${command.name()}`;
  command.configureOutput({
    outputError: (text, write) => write(`${shown(plainer(text, name).trimEnd())}\n`),
  });
  for (const each of command.commands) tellErrors(each, `${name} `);
}

/** A message of the parser, with what to do about it; `name` is the command's, to ask for its help. */
function plainer(text: string, name: string): string {
  return text
    .replace(
      /(unknown (option|command) '(.*)')(?:\n\(Did you mean (?:one of )?(.*)\?\))?/s,
      (_, fault: string, kind: string, written: string, offered: string = '') => {
        const bare = (spelling: string): string => spelling.replace(/^--/, '').replace(/=.*/s, '');
        const near = offered
          .split(', ')
          .filter((each) => each !== '' && isNear(bare(written), bare(each)));
        return near.length > 0
          ? `${fault}. Did you mean ${near.join(' or ')}?`
          : `${fault}. "${name} --help" lists the ${kind}s`;
      },
    )
    .replace(/^error: /, 'trysquare: ')
    .replace(
      "missing required argument 'path'",
      'no path is given: name a file, a folder or a pattern in quotes',
    );
}

/** Letters of a message on standard error. */
const LONGEST = 2000;

/** A message as a terminal shows it, cut to a length that can be read. */
export function shown(message: string): string {
  const cut = message.length > LONGEST ? `${message.slice(0, LONGEST)} ...` : message;
  return cut.split('\n').map(visible).join('\n');
}
