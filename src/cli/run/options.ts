import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Part } from '../../batch/part.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { ENDINGS, FORMATS } from '../output/formats.js';

/** Options of every command that writes reports. */
export function addOutputOptions(command: Command): Command {
  return command
    .addOption(
      new Option(
        '-f, --format <format>',
        'Form of the report. Default: as the ending of --out says, else text.',
      ).choices(FORMATS),
    )
    .addOption(
      new Option(
        '--sarif-for <consumer>',
        'Shape SARIF for a consumer: the standard to the letter, or hosted code scanning, which wants a line for every result.',
      ).choices(['standard', 'code-scanning']),
    )
    .addOption(
      new Option(
        '--base <dir>',
        'Folder that paths in SARIF are relative to, such as the root of the repository. Default: the working folder.',
      ),
    )
    .addOption(
      new Option(
        '-o, --out <file>',
        `Write the report to a file instead of standard output; - is standard output. May be given several times, one report each. Endings: ${Object.entries(
          ENDINGS,
        )
          .map(([ending, format]) => `.${ending} ${format}`)
          .join(', ')}.`,
      ).argParser((value, earlier: string[] | undefined) => [...(earlier ?? []), value]),
    )
    .addOption(new Option('--replace', 'Let --out write over a file that is there already.'))
    .addOption(
      new Option(
        '--each-rule',
        'Also tell of every rule, in the text report, what it was measured on and how much of it held.',
      ),
    )
    .addOption(
      new Option(
        '--show-waivers',
        'List each waiver that needs a look: past its day, fitting nothing any more, or not saying what it accepted.',
      ),
    )
    .addOption(
      new Option(
        '-q, --quiet',
        'Leave sound assets and headers out of the text report; on standard error tell only of what cannot be read.',
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
        'Files checked at once. Default: as many as the machine has cores.',
      ).argParser((value) => wholeNumber(value, 1, 1024)),
    )
    .addOption(
      new Option(
        '--part <i/n>',
        'Check the i-th of n shares of the files, balanced by size; "merge" joins their reports.',
      ).argParser(partOf),
    )
    .addOption(
      new Option(
        '--cache <dir>',
        'Keep reports in this folder by the content of the files, and take those that are there.',
      ),
    )
    .addOption(
      new Option(
        '--time-limit <seconds>',
        `Give a file up as unreadable after so long. Default: ${DEFAULT_LIMITS.seconds}.`,
      ).argParser((value) => wholeNumber(value, 1, 86_400)),
    )
    .addOption(
      new Option(
        '--memory-limit <mib>',
        `The same for the memory it takes. Default: ${DEFAULT_LIMITS.mebibytes}.`,
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
      'Give the share and the number of shares, such as 2/5; shares count from 1, and the last of 5 is 5/5.',
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
        `${does} Without it the nearest trysquare.json upward from here is used.`,
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
        `${does} Without it the nearest trysquare.waivers.json upward from here is used.`,
      ),
    )
    .addOption(
      new Option('--no-ledger', 'Waive nothing, even if there is a trysquare.waivers.json.'),
    );
}
