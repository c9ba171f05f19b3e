import { readdirSync } from 'node:fs';
import { PassThrough } from 'node:stream';
import { expect, it } from 'vitest';
import { processIo } from '../../src/cli/io.js';
import { buildProgram } from '../../src/cli/program.js';

it('every command has a folder with its options and its run, and every such folder is a command', () => {
  const root = new URL('../../src/cli/', import.meta.url);
  const parts = readdirSync(root, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .flatMap(({ name }) => readdirSync(new URL(`${name}/`, root)).map((file) => `${name}/${file}`))
    .filter((file) => /-(options|command)\.ts$/.test(file));
  const io = { ...processIo(), stdout: new PassThrough(), stderr: new PassThrough() };
  const commands = buildProgram(io, () => undefined).commands.map((command) => command.name());
  const wanted = commands.flatMap((name) => [
    `${name}/${name}-command.ts`,
    `${name}/${name}-options.ts`,
  ]);
  expect(parts.sort()).toEqual(wanted.sort());
});
