import { readFileSync } from 'node:fs';
import { PassThrough } from 'node:stream';
import type { Command } from 'commander';
import { build } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { EXIT_MEANINGS } from '../../src/cli/exit-codes.js';
import { buildProgram } from '../../src/cli/program.js';
import { levels } from '../../src/cli/rules/rules-words.js';
import { LEVELS } from '../../src/kit/finding.js';
import { LEVEL_MEANINGS, SILENCE_MEANS } from '../../src/kit/level-meanings.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { PLAIN } from '../../src/report/paint.js';
import { writeText } from '../../src/report/text.js';
import { checkBuilt } from './check-built.js';

/** The README, whose tables between `<!-- made: NAME -->` and `<!-- end -->` are made from code. */
export const documentPath = new URL('../../README.md', import.meta.url);

/** The README as it should be: its own text with every made table made again. */
export async function renderDocument(): Promise<string> {
  const text = readFileSync(documentPath, 'utf8');
  const report = await sampleReport();
  return text.replace(/<!-- made: (\w+) -->\n[\s\S]*?<!-- end -->/g, (_, name: string) => {
    const made = name === 'report' ? report : tables[name]?.();
    if (made === undefined) throw new Error(`README.md asks for "${name}", which nothing makes`);
    return `<!-- made: ${name} -->\n\n${made}\n\n<!-- end -->`;
  });
}

/** The report of a faulty puppet as the terminal shows it, 80 columns wide. */
async function sampleReport(): Promise<string> {
  const fault = faultNamed('flipped-shin');
  const asset = await checkBuilt(build(fault.puppet, { faults: [fault] }));
  const report = makeReport([asset], defaultSettings(rules));
  const text = writeText(report, { columns: 80, paint: PLAIN, quiet: false });
  return `\`\`\`text\n$ trysquare check ${asset.path}\n${text.trimEnd()}\n\`\`\``;
}

export const tables: Readonly<Record<string, () => string>> = {
  rules: () =>
    table(
      ['rule', 'level', 'finds', 'limits', 'source'],
      rules.map((rule) => [
        `\`${rule.id}\``,
        levels(rule),
        rule.title,
        Object.values(rule.limits)
          .map((spec) => `${spec.default} ${spec.unit}`)
          .join('; ') || 'none',
        rule.source,
      ]),
    ),
  levels: () =>
    `${table(
      ['level', 'what it means'],
      LEVELS.map((level) => [level, LEVEL_MEANINGS[level]]),
    )}\n\n${SILENCE_MEANS}`,
  options: () => options('check'),
  draw: () => options('draw'),
  mend: () => options('mend'),
  repairs: () =>
    table(
      ['what is found', 'what a mend does'],
      REPAIRS.map(({ rules: ids, tells }) => [ids.map((id) => `\`${id}\``).join(', '), tells]),
    ),
  waive: () => options('waive'),
  grade: () => options('grade'),
  exits: () =>
    table(
      ['code', 'meaning'],
      EXIT_MEANINGS.map(({ code, means }) => [String(code), means]),
    ),
  commands: () =>
    table(
      ['command', 'what it does'],
      listCommands(program()).map((command) => [`\`${usage(command)}\``, command.description()]),
    ),
};

function program(): Command {
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
  return buildProgram(io, () => undefined);
}

function listCommands(parent: Command): Command[] {
  return parent.commands.flatMap((command) =>
    command.commands.length === 0 ? [command] : listCommands(command),
  );
}

function usage(command: Command): string {
  const names: string[] = [];
  for (let at: Command | null = command; at !== null; at = at.parent) names.unshift(at.name());
  const args = command.registeredArguments.map((argument) => {
    const name = `${argument.name().toUpperCase()}${argument.variadic ? '...' : ''}`;
    return argument.required ? name : `[${name}]`;
  });
  return [...names, ...args].join(' ');
}

function options(name: string): string {
  const command = program().commands.find((item) => item.name() === name);
  const rows = (command?.options ?? []).map((option) => [
    `\`${option.flags}\``,
    `${option.description}${option.argChoices === undefined ? '' : ` One of ${option.argChoices.join(', ')}.`}`,
    option.defaultValue === undefined || typeof option.defaultValue === 'boolean'
      ? ''
      : String(option.defaultValue),
  ]);
  return table(['option', 'meaning', 'default'], rows);
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell) => cell.replace(/\|/g, '\\|')).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}
