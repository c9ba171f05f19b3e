import { closeSync, openSync } from 'node:fs';
import { devNull } from 'node:os';
import { MachineError } from './errors.js';

const OUT_OF_FILES =
  'too many files are open, and no other file can be opened; close programs, raise the limit of open files (ulimit -n), or check with fewer --workers';

/** The error to end the run with, where `error` says that no more files can be opened; else null. */
export function outOfFiles(error: unknown): MachineError | null {
  if (error instanceof MachineError) return error;
  const code = error instanceof Error && 'code' in error ? error.code : '';
  return code === 'EMFILE' || code === 'ENFILE' ? new MachineError(OUT_OF_FILES) : null;
}

/** Tries whether so many more files could be open at once. Throws MachineError where not. */
export function requireFiles(count: number): void {
  const open: number[] = [];
  try {
    while (open.length < count) open.push(openSync(devNull, 'r'));
  } catch (error) {
    const trouble = outOfFiles(error);
    if (trouble !== null) throw trouble;
    // A machine without such a file proves nothing.
  } finally {
    for (const file of open) closeSync(file);
  }
}

/** Files that loading a part of the command needs at once. */
const TO_LOAD = 3;

/**
 * The same for an error that does not say so itself: where a part of the command cannot be loaded for
 * lack of files, the engine reports it as missing.
 */
export function hiddenOutOfFiles(error: unknown): MachineError | null {
  const reported = outOfFiles(error);
  if (reported !== null) return reported;
  try {
    requireFiles(TO_LOAD);
    return null;
  } catch (trouble) {
    return outOfFiles(trouble);
  }
}
