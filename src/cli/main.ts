import { CommanderError } from 'commander';
import { AssetError, UsageError } from '../asset/errors.js';
import { hiddenOutOfFiles } from '../asset/open-files.js';
import { visible } from '../report/visible.js';
import { EXIT } from './exit-codes.js';
import type { Io } from './io.js';
import { writeText } from './output/write-output.js';
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

async function complain(io: Io, message: string, code: number): Promise<number> {
  await writeText(io.stderr, `trysquare: ${shown(message)}\n`);
  return code;
}
