import { readdirSync } from 'node:fs';
import { PassThrough } from 'node:stream';
import type { Command } from 'commander';
import { describe, expect, it } from 'vitest';
import { processIo } from '../../src/cli/io.js';
import { buildProgram } from '../../src/cli/program.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

it('every command has a folder with its options and its run, and every such folder is a command', () => {
  const root = new URL('../../src/cli/', import.meta.url);
  const parts = readdirSync(root, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .flatMap(({ name }) => readdirSync(new URL(`${name}/`, root)).map((file) => `${name}/${file}`))
    .filter((file) => /-(options|command)\.ts$/.test(file));
  const commands = commandsOf().map((command) => command.name());
  const wanted = commands.flatMap((name) => [
    `${name}/${name}-command.ts`,
    `${name}/${name}-options.ts`,
  ]);
  expect(parts.sort()).toEqual(wanted.sort());
});

/** What a command needs besides its options. */
const ARGUMENTS: Readonly<Record<string, readonly string[]>> = {
  check: ['heron.glb'],
  compare: ['heron.glb', 'mule.glb'],
  draw: ['heron.glb'],
  mend: ['heron.glb'],
  grade: ['class'],
  merge: ['part-1.json'],
  standard: ['init'],
};

describe('an empty value is refused in one line, and nothing is written:', () => {
  for (const command of commandsOf()) {
    const valued = command.options.filter(({ required, optional }) => required || optional);
    const given = ARGUMENTS[command.name()] ?? [];
    if (valued.length > 0)
      it(`every option of ${command.name()}`, async () => {
        const cwd = tempFolder({});
        for (const { long } of valued) {
          const args = [
            command.name(),
            ...given,
            long ?? '',
            ...(long === '--move' ? ['', ''] : ['']),
          ];
          const { code, stdout, stderr } = await runCli(args, { cwd });
          expect([code, stdout, stderr]).toEqual([
            2,
            '',
            expect.stringMatching(lineOf(long ?? '')),
          ]);
        }
        expect(readdirSync(cwd)).toEqual([]);
      });
    if (command.registeredArguments.length > 0)
      it(`the arguments of ${command.name()}`, async () => {
        const cwd = tempFolder({});
        const { code, stderr } = await runCli([command.name(), ...given.slice(1), ''], { cwd });
        expect([code, stderr]).toEqual([2, expect.stringMatching(/^trysquare: [^\n]*\n$/)]);
        expect(readdirSync(cwd)).toEqual([]);
      });
  }
});

/** One line that names the option. */
function lineOf(option: string): RegExp {
  return new RegExp(`^trysquare: [^\\n]*${option}\\b[^\\n]*\\n$`);
}

function commandsOf(): readonly Command[] {
  const io = { ...processIo(), stdout: new PassThrough(), stderr: new PassThrough() };
  return buildProgram(io, () => undefined).commands;
}

describe('an option that is not known', () => {
  it.each([
    [
      ['grade', 'class', '--reason'],
      'unknown option \'--reason\'. "trysquare grade --help" lists the options',
    ],
    [['--reason'], 'unknown option \'--reason\'. "trysquare --help" lists the options'],
    [
      ['standard', 'init', '--x'],
      'unknown option \'--x\'. "trysquare standard init --help" lists the options',
    ],
    [
      ['standard', 'make'],
      'unknown command \'make\'. "trysquare standard --help" lists the commands',
    ],
    [['paint'], 'unknown command \'paint\'. "trysquare --help" lists the commands'],
    [['chekc'], "unknown command 'chekc'. Did you mean check?"],
    [['check', 'a.glb', '--quite'], "unknown option '--quite'. Did you mean --quiet?"],
    [['check', 'a.glb', '--otu'], "unknown option '--otu'. Did you mean --out?"],
  ])('%j is guessed only where it is near', async (args, line) => {
    const run = await runCli(args, { cwd: tempFolder({}) });
    expect(run).toEqual({ code: 2, stdout: '', stderr: `trysquare: ${line}\n` });
  });

  it('with a letter left out is found, of every command', async () => {
    const cwd = tempFolder({});
    const missed: string[] = [];
    for (const command of commandsOf())
      for (const { long } of command.options.filter((option) => (option.long?.length ?? 0) > 5)) {
        const slip = `${long?.slice(0, 4)}${long?.slice(5)}`;
        const { stderr } = await runCli([command.name(), 'a', slip], { cwd });
        if (!stderr.includes(`Did you mean ${long}`))
          missed.push(`${command.name()} ${slip}: ${stderr}`);
      }
    expect(missed).toEqual([]);
  });
});
