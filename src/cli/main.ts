import { Command, CommanderError, Option } from 'commander';
import { AssetError, UsageError } from '../asset/errors.js';
import { hiddenOutOfFiles } from '../asset/open-files.js';
import { logLines } from '../report/log-marks.js';
import { visible } from '../report/visible.js';
import { version } from '../version.js';
import type { CheckFlags } from './check/check-command.js';
import { addDraw } from './draw/draw-options.js';
import { EXIT, exitTable } from './exit-codes.js';
import { addGrade } from './grade/grade-options.js';
import type { Io } from './io.js';
import { addMend } from './mend/mend-options.js';
import type { OutputFlags } from './output/outputs.js';
import { writeText } from './output/write-output.js';
import {
  addBatchOptions,
  addLedgerOptions,
  addOutputOptions,
  addStandardOptions,
  ruleList,
} from './run/options.js';
import { addWaive } from './waive/waive-options.js';

/**
 * Runs the command line and returns the exit code. Each command's code is loaded when it is called,
 * so that asking for the version costs no more than reading this file.
 */
export async function main(argv: readonly string[], io: Io): Promise<number> {
  // A reader that has seen enough (a pager, `head`) is no fault; what is written after is dropped.
  for (const stream of [io.stdout, io.stderr]) stream.on('error', () => undefined);
  let code: number = EXIT.sound;
  const program = buildProgram(io, (result) => {
    code = result;
  });
  try {
    await program.parseAsync([...argv], { from: 'node' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.sound : EXIT.usage;
    if (error instanceof UsageError) return complain(io, visible(error.message), EXIT.usage);
    if (error instanceof AssetError) return complain(io, visible(error.message), EXIT.unreadable);
    const trouble = hiddenOutOfFiles(error);
    if (trouble !== null) return complain(io, trouble.message, EXIT.usage);
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    return complain(
      io,
      `this is a fault of trysquare itself. Please report it, together with the file that causes it:\n${text}`,
      EXIT.usage,
    );
  }
}

/** One line that a terminal shows as it is written, of a length that can be read. */
function shown(message: string): string {
  const cut = message.length > LONGEST ? `${message.slice(0, LONGEST)} ...` : message;
  return cut.split('\n').map(visible).join('\n');
}

/** Letters of a message on standard error. */
const LONGEST = 2000;

async function complain(io: Io, message: string, code: number): Promise<number> {
  await writeText(io.stderr, `trysquare: ${shown(message)}\n`);
  return code;
}

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
  addCheck(program, io, done);
  addDraw(program, io, done);
  addMend(program, io, done);
  addWaive(program, io, done);
  addGrade(program, io, done);
  addMerge(program, io, done);
  addRules(program, io, done);
  addStandard(program, io, done);
  addSchema(program, io);
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

function addCheck(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('check')
    .summary('Check rigs and report their faults.')
    .description(
      'Check rigs and report their faults. The report goes to standard output. Messages about the run go to standard error.',
    )
    .argument(
      '<path...>',
      'Assets (.glb, .gltf, .vrm), folders to search, patterns, or - for standard input.',
    );
  addStandardOptions(command, 'Check rigs against this standard.');
  addLedgerOptions(command, 'Findings that this ledger waives do not make a rig unsound.');
  command
    .addOption(
      new Option(
        '--failing <level>',
        'Findings at this level or above make a rig unsound. Default: the level that the standard names, else error.',
      ).choices(['error', 'warning', 'note', 'never']),
    )
    .addOption(
      new Option(
        '--only <rules>',
        'Run only these rules, such as axis.up, or families of rules, such as axis. Separate them with commas.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--skip <rules>',
        'Do not run these rules or families of rules. Separate them with commas.',
      ).argParser(ruleList),
    )
    .addOption(
      new Option(
        '--motion',
        'Also bend every joint by 60 degrees each way and measure how the skin changes. This takes longer than all other measures.',
      ),
    );
  command.addOption(
    new Option(
      '--without <pattern>',
      'Do not search these folders or check these files, such as old/ or "**/draft-*.glb". Can be given several times. A file that you name yourself is always checked.',
    ).argParser((value, earlier: string[] | undefined) => [...(earlier ?? []), value]),
  );
  command.addOption(
    new Option(
      '--watch',
      'Keep running after the first check. Check each file again when it is exported, and show first what changed.',
    ),
  );
  addOutputOptions(addBatchOptions(command))
    .addHelpText(
      'after',
      [
        '',
        exitTable(),
        '',
        'Examples:',
        '  trysquare check heron.glb',
        '  trysquare check heron.glb --motion --each-rule',
        '  trysquare check heron.glb --watch',
        '  trysquare check puppets/ --only axis,rest',
        '  trysquare check puppets/ --without puppets/old --without "**/draft-*"',
        '  trysquare check puppets/ --standard house.json --failing warning --quiet',
        '  trysquare check puppets/ --format sarif --sarif-for code-scanning --out rigs.sarif',
        '  trysquare check puppets/ --out rigs.sarif --out rigs.xml --out -',
        '  trysquare check puppets/ --part 2/5 --out part-2.json',
        '  cat mule.glb | trysquare check -',
      ].join('\n'),
    )
    .action(async (paths: string[], flags: CheckFlags) => {
      const { runCheck } = await import('./check/check-command.js');
      done(await runCheck(paths, flags, io));
    });
}

function addMerge(program: Command, io: Io, done: (code: number) => void): void {
  const command = program
    .command('merge')
    .summary('Join the reports of several parts into one.')
    .description(
      'Join JSON reports, each of one part of a list, into the report that one run over the whole list would give. If a part is missing, the message names it.',
    )
    .argument(
      '<report...>',
      'Reports that "check --format json" wrote, or patterns of them in quotes.',
    );
  addOutputOptions(command)
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare merge part-1.json part-2.json\n  trysquare merge part-*.json --out rigs.sarif --out rigs.json',
    )
    .action(async (files: string[], flags: OutputFlags) => {
      const { runMerge } = await import('./merge/merge-command.js');
      done(await runMerge(files, flags, io));
    });
}

function addRules(program: Command, io: Io, done: (code: number) => void): void {
  program
    .command('rules')
    .summary('List the rules, or explain one.')
    .description(
      'List the rules with their levels. Or explain one rule: why it matters, how it is measured, what to do, its limits and its source.',
    )
    .argument('[id]', 'A rule such as axis.up, or a family such as axis.')
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare rules\n  trysquare rules axis\n  trysquare rules axis.up',
    )
    .action(async (id: string | undefined) => {
      const { runRules } = await import('./rules/rules-command.js');
      done(await runRules(id, io));
    });
}

function addStandard(program: Command, io: Io, done: (code: number) => void): void {
  const standard = program.command('standard').description('Work with the standard of a house.');
  standard
    .command('init')
    .description(
      'Write a standard with comments, to start from. A file that exists is not overwritten.',
    )
    .argument('[file]', 'Where to write it.', 'trysquare.json')
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare standard init\n  trysquare standard init house/walkers.json',
    )
    .action(async (file: string) => {
      const { initStandard } = await import('./standard/standard-command.js');
      done(await initStandard(file, io));
    });
}

function addSchema(program: Command, io: Io): void {
  program
    .command('schema')
    .description('Print the JSON Schema of a file that trysquare reads or writes.')
    .addArgument(
      program.createArgument('<of>', 'Which file.').choices(['standard', 'report', 'waivers']),
    )
    .addHelpText(
      'after',
      '\nExamples:\n  trysquare schema standard > standard.schema.json\n  trysquare schema report',
    )
    .action(async (of: 'standard' | 'report' | 'waivers') => {
      const { printSchema } = await import('./schema/schema-command.js');
      await printSchema(of, io);
    });
}
