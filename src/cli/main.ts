import { CommanderError } from 'commander';
import { AssetError, UsageError } from '../asset/errors.js';
import { hiddenOutOfFiles } from '../asset/open-files.js';
import { visible } from '../report/visible.js';
import { EXIT } from './exit-codes.js';
import type { Io } from './io.js';
import { tell } from './output/write-output.js';
import { buildProgram, shown } from './program.js';

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
    await tell(io, shown(messageOf(error)));
    return error instanceof AssetError ? EXIT.unreadable : EXIT.usage;
  }
}

function messageOf(error: unknown): string {
  if (error instanceof UsageError || error instanceof AssetError) return visible(error.message);
  const trouble = hiddenOutOfFiles(error);
  if (trouble !== null) return trouble.message;
  const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return `this is a fault of trysquare itself. Please report it, together with the file that causes it:\n${text}`;
}
