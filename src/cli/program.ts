import { Command } from 'commander';
import { logLines } from '../report/log-marks.js';
import { version } from '../report/version.js';
import { visible } from '../report/visible.js';
import { COMMANDS } from './commands.js';
import { exitTable } from './exit-codes.js';
import type { Io } from './io.js';

/** The command tree; help and the README's option tables are made from it. */
export function buildProgram(io: Io, done: (code: number) => void): Command {
  const program = new Command('trysquare')
    .description('Checks character rigs stored as glTF 2.0 skins, by measurement.')
    .version(version, '-V, --version', 'Print the version.')
    .helpOption('-h, --help', 'Print help for a command.')
    .helpCommand('help [command]', 'Print help for a command.')
    .showSuggestionAfterError()
    .exitOverride()
    .configureOutput({
      writeOut: (text) => void io.stdout.write(logLines(text)),
      writeErr: (text) => void io.stderr.write(logLines(text)),
      outputError: (text, write) => write(`${shown(plainer(text).trimEnd())}\n`),
      getOutHelpWidth: () => io.columns ?? 80,
      getErrHelpWidth: () => io.columns ?? 80,
    });
  for (const add of COMMANDS) add(program, io, done);
  program.addHelpText(
    'after',
    `\n${exitTable()}\n\nExamples:\n  trysquare check heron.glb\n  trysquare rules axis.up\n  trysquare standard init`,
  );
  return program;
}

/** The parser's words, with what to do about it. */
function plainer(text: string): string {
  return text
    .replace(/^error: /, 'trysquare: ')
    .replace(
      "missing required argument 'path'",
      'there is nothing to check: name a file, a folder, a pattern in quotes, or -',
    )
    .replace(/\n\(Did you mean (.*)\?\)/, '. Did you mean $1?');
}

/** One line that a terminal shows as it is written, of a length that can be read. */
export function shown(message: string): string {
  const cut = message.length > LONGEST ? `${message.slice(0, LONGEST)} ...` : message;
  return cut.split('\n').map(visible).join('\n');
}

/** Letters of a message on standard error. */
const LONGEST = 2000;
