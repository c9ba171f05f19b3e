import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Part } from '../../batch/part.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { ENDINGS, FORMATS } from '../output/formats/index.js';

/** Options of every command that writes reports. */
export function addOutputOptions(command: Command): Command {
  command.addOption(
    new Option(
      '-f, --format <format>',
      'Format of the report. Default: the format that the ending of --out gives, else text.',
    ).choices(FORMATS.map(({ name }) => name)),
  );
  for (const { flags, help, choices } of FORMATS.flatMap(({ options = [] }) => options)) {
    const option = new Option(flags, help);
    command.addOption(choices === undefined ? option : option.choices(choices));
  }
  return command
    .addOption(
      new Option(
        '-o, --out <file>',
        `Write the report to a file instead of standard output; - is standard output. May be given several times, one report each. Endings: ${[...ENDINGS].map(([ending, { name }]) => `.${ending} ${name}`).join(', ')}.`,
      ).argParser((value, earlier: string[] | undefined) => [...(earlier ?? []), value]),
    )
    .addOption(new Option('--replace', 'Allow --out to overwrite a file that exists.'))
    .addOption(
      new Option(
        '--each-rule',
        'In the text report, also list every rule, with what it measured and how much of that passed.',
      ),
    )
    .addOption(
      new Option(
        '--show-waivers',
        'List each waiver that needs attention: its last day is past, it matches no finding any more, or it does not say what it accepted.',
      ),
    )
    .addOption(
      new Option(
        '-q, --quiet',
        'Leave sound assets and headers out of the text report. On standard error, name only assets that cannot be read.',
      ),
    )
    .addOption(
      new Option('--colour <when>', 'Colour in the text report.')
        .choices(['never', 'auto', 'always'])
        .default('auto'),
    );
}

/** Options that say how a list of assets is worked through. */
export function addBatchOptions(command: Command): Command {
  return command
    .addOption(
      new Option(
        '--workers <n>',
        'Number of files to check at the same time. Default: the number of cores of the machine.',
      ).argParser((value) => wholeNumber(value, 1, 1024)),
    )
    .addOption(
      new Option(
        '--part <i/n>',
        'Divide the files into n parts of about equal size, and check part i. "merge" joins the reports of the parts.',
      ).argParser(partOf),
    )
    .addOption(
      new Option(
        '--cache <dir>',
        'Keep reports in this folder, and use them again for files that have not changed.',
      ),
    )
    .addOption(
      new Option(
        '--time-limit <seconds>',
        `Stop checking a file after this many seconds, and report it as unreadable. Default: ${DEFAULT_LIMITS.seconds}.`,
      ).argParser((value) => wholeNumber(value, 1, 86_400)),
    )
    .addOption(
      new Option(
        '--memory-limit <mib>',
        `Stop checking a file that needs more memory than this (in MiB), and report it as unreadable. Default: ${DEFAULT_LIMITS.mebibytes}.`,
      ).argParser((value) => wholeNumber(value, 16, 1 << 20)),
    );
}

/** A number in bounds, as an option's value. */
function wholeNumber(value: string, least: number, most: number): number {
  const number = Number(value);
  if (!/^\d+$/.test(value) || number < least || number > most)
    throw new InvalidArgumentError(`Give a whole number from ${least} to ${most}.`);
  return number;
}

function partOf(value: string): Part {
  const [, index, of] = /^(\d{1,6})\/(\d{1,6})$/.exec(value) ?? [];
  const part = { index: Number(index), of: Number(of) };
  if (!(part.index >= 1 && part.index <= part.of))
    throw new InvalidArgumentError(
      'Give the part and the number of parts, such as 2/5. Parts count from 1; the last of 5 is 5/5.',
    );
  return part;
}

/** Splits a list of rules and families; whether they exist is checked where the rules are loaded. */
export function ruleList(value: string, earlier: string[] | undefined): string[] {
  const names = value
    .split(',')
    .map((item) => item.trim())
    .filter((item) => item !== '');
  if (names.length === 0) throw new InvalidArgumentError('Name at least one rule or family.');
  return [...(earlier ?? []), ...names];
}

/** Options that say which standard rigs are held to; `does` is what the command does with it. */
export function addStandardOptions(command: Command, does: string): Command {
  return command
    .addOption(
      new Option(
        '-s, --standard <file>',
        `${does} Default: the nearest trysquare.json in this folder or a folder above it.`,
      ),
    )
    .addOption(new Option('--no-standard', 'Use no standard, even if there is a trysquare.json.'));
}

/** Options that say which ledger of waivers holds; `does` is what the command does with what it waives. */
export function addLedgerOptions(command: Command, does: string): Command {
  return command
    .addOption(
      new Option(
        '--ledger <file>',
        `${does} Default: the nearest trysquare.waivers.json in this folder or a folder above it.`,
      ),
    )
    .addOption(
      new Option('--no-ledger', 'Waive nothing, even if there is a trysquare.waivers.json.'),
    );
}
