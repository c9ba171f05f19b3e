import { PassThrough } from 'node:stream';
import type { Command } from 'commander';
import { buildProgram } from '../../../src/cli/program.js';
import { plain, table } from './markdown.js';

/** Every command that does something, in the order of the help. */
export function commands(): Command[] {
  const nowhere = new PassThrough();
  const io = {
    stdin: nowhere,
    stdout: nowhere,
    stderr: nowhere,
    cwd: '',
    columns: null,
    progress: false,
    progressColumns: 80,
    colour: false,
    worker: null,
    pageScript: null,
    clock: () => new Date(0),
    onStop: () => () => undefined,
  };
  return listCommands(buildProgram(io, () => undefined));
}

function listCommands(parent: Command): Command[] {
  return parent.commands.flatMap((command) =>
    command.commands.length === 0 ? [command] : listCommands(command),
  );
}

/** The name of a command without that of the program, such as `standard init`. */
export function commandName(command: Command): string {
  const names: string[] = [];
  for (let at = command; at.parent !== null; at = at.parent) names.unshift(at.name());
  return names.join(' ');
}

/** How a command is called, such as `trysquare check PATH...`. */
function usage(command: Command): string {
  const args = command.registeredArguments.map((argument) => {
    const name = `${argument.name().toUpperCase()}${argument.variadic ? '...' : ''}`;
    return argument.required ? name : `[${name}]`;
  });
  return ['trysquare', commandName(command), ...args].join(' ');
}

/** All commands in one list, then each with its arguments, its options and the end of its help. */
export function commandPage(): string {
  return [commandIndex(), ...commands().map(commandText)].join('\n\n');
}

function commandIndex(): string {
  return table(
    ['command', 'what it does'],
    commands().map((command) => [
      `[\`${usage(command)}\`](#${commandName(command).replaceAll(' ', '-')})`,
      command.summary() || command.description(),
    ]),
  );
}

function commandText(command: Command): string {
  const parts = [
    `## ${commandName(command)}`,
    `\`${usage(command)}\``,
    plain(command.description()),
    command.registeredArguments
      .map(
        (argument) =>
          `- ${argument.name().toUpperCase()}: ${plain(argument.description)}${oneOf(argument.argChoices)}`,
      )
      .join('\n'),
    options(command),
    helpEnd(command),
  ];
  return parts.filter((part) => part !== '').join('\n\n');
}

function options(command: Command): string {
  const rows = command.options.map((option) => [
    `\`${option.flags}\``,
    `${option.description}${oneOf(option.argChoices)}`,
    option.defaultValue === undefined || typeof option.defaultValue === 'boolean'
      ? ''
      : String(option.defaultValue),
  ]);
  if (rows.length === 0) return '';
  const hasDefault = rows.some((row) => row[2] !== '');
  return hasDefault
    ? table(['option', 'meaning', 'default'], rows)
    : table(
        ['option', 'meaning'],
        rows.map((row) => row.slice(0, 2)),
      );
}

/** What the help of a command says after its options: exit codes and examples, as they stand there. */
function helpEnd(command: Command): string {
  let text = '';
  command.configureOutput({
    writeOut: (part) => {
      text += part;
    },
  });
  command.outputHelp();
  const end = text.slice(command.helpInformation().length).trim();
  return end === '' ? '' : `\`\`\`text\n${end}\n\`\`\``;
}

function oneOf(choices: readonly string[] | undefined): string {
  return choices === undefined ? '' : ` One of ${choices.join(', ')}.`;
}
