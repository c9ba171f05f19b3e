import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Part } from '../../batch/part.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { ENDINGS, FORMATS } from '../output/formats/index.js';

/**
 * Options by how they are written, with their help and, where it is not any text, their value: one of
 * several words, or what a parser makes of it. `<rules>` is a list of rules. A list grows each time that
 * its option is given.
 */
export type Options = Readonly<Record<string, string | OptionSpec>>;

type Value = readonly string[] | ((text: string) => unknown) | undefined;
type OptionSpec = readonly [help: string, value: Value, byDefault?: string];

/** Adds options to a command, in their order. */
export function addOptions(command: Command, options: Options): Command {
  for (const [flags, spec] of Object.entries(options)) {
    const plain = flags.endsWith('<rules>') ? ruleList : undefined;
    const [help, value, byDefault] = typeof spec === 'string' ? [spec, plain] : spec;
    const option = new Option(flags, help).default(byDefault);
    if (typeof value === 'function')
      option.argParser<unknown>((text, earlier) => {
        const parsed = value(text);
        const grows = Array.isArray(parsed) && Array.isArray(earlier);
        return grows ? [...earlier, ...parsed] : parsed;
      });
    else if (value !== undefined) option.choices(value);
    command.addOption(option);
  }
  return command;
}

/** Options of every command that writes a file with `--out`. */
export const REPLACE_OPTION: Options = {
  '--replace': 'Allow --out to overwrite a file that exists.',
};

const FORMAT_OPTIONS = FORMATS.flatMap(({ options = [] }) => options);

/** Options that ask for what only a check can give: reports that are joined have it or have it not. */
export const MORE_OPTIONS: Options = Object.fromEntries(
  FORMAT_OPTIONS.flatMap(({ flags, help, asksFor }) =>
    asksFor === undefined ? [] : [[flags, help] as const],
  ),
);

/** The option of every command that needs to know the house's own rules. */
export const OWN_OPTION: Options = {
  '--with <module>': [
    'Load rules of your own from this file, such as ./house/props.mjs. The file is a program and runs with your rights. Can be given several times.',
    (value) => [value],
  ],
};

/** The same where nothing else is asked than what is about an approved rig. */
export const OWN_OPTION_OF_APPROVED: Options = {
  '--with <module>': [
    'Also run rules of your own about the approved rig (those with onApproved: true) from this file, such as ./house/props.mjs. The file is a program and runs with your rights. Can be given several times.',
    (value) => [value],
  ],
};

/** What the option says that names a handbook; `leads` is what it changes, `file` the place that is no address. */
export function handbookHelp(leads: string, file: string): string {
  return `${leads} from each finding to the entry of its rule in this handbook: an address on the web, ${file} that "trysquare rules --out" wrote. Default: the address that the standard gives, if any.`;
}

/** Options of every command that writes reports. */
export const OUTPUT_OPTIONS: Options = {
  '-f, --format <format>': [
    'Format of the report. Default: the format that the ending of --out gives, else text.',
    FORMATS.map(({ name }) => name),
  ],
  ...Object.fromEntries(
    FORMAT_OPTIONS.flatMap(({ flags, help, choices, asksFor }) =>
      asksFor === undefined ? [[flags, [help, choices]] as const] : [],
    ),
  ),
  '--handbook <place>': handbookHelp('Pages and SARIF lead', 'or, for pages alone, a file'),
  '-o, --out <file>': [
    `Write the report to a file instead of standard output; - is standard output. May be given several times, one report each. Endings: ${[...ENDINGS].map(([ending, { name }]) => `.${ending} ${name}`).join(', ')}.`,
    (value) => [value],
  ],
  ...REPLACE_OPTION,
  '--each-rule':
    'In the text report, also list every rule, with what it measured and how much of that passed.',
  '--show-waivers':
    'List each waiver that needs attention: its last day is past, it matches no finding any more, or it does not say what it accepted.',
  '-q, --quiet':
    'Leave headers, and assets that are not at fault, out of the text report. On standard error, name only assets that cannot be read.',
  '--colour <when>': ['Colour in the text report.', ['never', 'auto', 'always'], 'auto'],
};

/** Options that say how a list of assets is worked through. */
export const BATCH_OPTIONS: Options = {
  '--workers <n>': [
    'Number of files to check at the same time. Default: the number of cores of the machine.',
    wholeNumber(1, 1024),
  ],
  '--part <i/n>': [
    'Divide the files into n parts of about equal size, and check part i. "merge" joins the reports of the parts.',
    parsePart,
  ],
  '--cache <dir>':
    'Keep reports in this folder, and use them again for files that have not changed.',
  '--time-limit <seconds>': [
    `Stop checking a file after this many seconds, and report it as unreadable. Default: ${DEFAULT_LIMITS.seconds}.`,
    wholeNumber(1, 86_400),
  ],
  '--memory-limit <mib>': [
    `Stop checking a file that needs more memory than this (in MiB), and report it as unreadable. Default: ${DEFAULT_LIMITS.mebibytes}.`,
    wholeNumber(16, 1 << 20),
  ],
};

/** The same of a command that mends them. */
export const MEND_LIST_OPTIONS: Options = {
  '--workers <n>': [
    'Number of files to mend at the same time. Default: the number of cores of the machine.',
    wholeNumber(1, 1024),
  ],
  '--part <i/n>': [
    'Divide the files into n parts of about equal size, and mend part i.',
    parsePart,
  ],
  '--time-limit <seconds>': [
    `Of several files, stop mending one after this many seconds, and report it as unreadable. Default: ${DEFAULT_LIMITS.seconds}.`,
    wholeNumber(1, 86_400),
  ],
  '--memory-limit <mib>': [
    `Of several files, stop mending one that needs more memory than this (in MiB), and report it as unreadable. Default: ${DEFAULT_LIMITS.mebibytes}.`,
    wholeNumber(16, 1 << 20),
  ],
};

function wholeNumber(least: number, most: number): (value: string) => number {
  return (value) => {
    const number = Number(value);
    if (!/^\d+$/.test(value) || number < least || number > most)
      throw new InvalidArgumentError(`Give a whole number from ${least} to ${most}.`);
    return number;
  };
}

function parsePart(value: string): Part {
  const [, index, count] = /^(\d{1,6})\/(\d{1,6})$/.exec(value) ?? [];
  const part = { index: Number(index), of: Number(count) };
  if (!(part.index >= 1 && part.index <= part.of))
    throw new InvalidArgumentError(
      'Give the part and the number of parts, such as 2/5. Parts count from 1; the last of 5 is 5/5.',
    );
  return part;
}

/** Splits a list of rules and families; whether they exist is checked where the rules are loaded. */
function ruleList(value: string): string[] {
  const names = value.split(',').map((name) => name.trim());
  const given = names.filter((name) => name !== '');
  if (given.length === 0) throw new InvalidArgumentError('Name at least one rule or family.');
  return given;
}

/** Where a standard is looked for that nobody names. */
const NEAREST =
  'for each file, the trysquare.json in its folder and in the folders above it, the nearest first; if there is none, in this folder and above it';
export const NEAREST_HERE =
  'the trysquare.json in this folder and in the folders above it, the nearest first';

/** Options that choose the standard; `does` is what the command does with it, `without` what it does with none. */
export function standardOptions(does: string, without = '', byDefault = NEAREST): Options {
  return {
    '-s, --standard <file>': `${does} Default: ${byDefault}.`,
    '--no-standard': `Use no standard, even if there is a trysquare.json.${without}`,
  };
}

/** Options that choose the ledger; `does` is what the command does with the findings that it waives. */
export function ledgerOptions(does: string): Options {
  return {
    '--ledger <file>': `${does} Default: the nearest trysquare.waivers.json in this folder or a folder above it.`,
    '--no-ledger': 'Waive nothing, even if there is a trysquare.waivers.json.',
  };
}
