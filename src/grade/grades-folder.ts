import { lstatSync, mkdirSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import { visible } from '../report/visible.js';

export const GRADEBOOK = 'gradebook.csv';
export const FEEDBACK = 'feedback';

/** The folder that grades are written to, once it is known that they may be. */
export interface GradesFolder {
  readonly path: string;
  /** As the user knows it. */
  readonly shown: string;
}

/**
 * Refuses a folder in which something would be written over, unless that was asked for, or which
 * could itself be a submission. Nothing is made yet.
 *
 * @param from The folder of the class.
 * @throws UsageError
 */
export function refuseGrades({ path, shown }: GradesFolder, from: string, replace: boolean): void {
  const name = visible(shown);
  const there = namesIn(path, name);
  if (there === null) return;
  const book = there.includes(GRADEBOOK);
  const feedback = there.includes(FEEDBACK)
    ? namesIn(join(path, FEEDBACK), join(name, FEEDBACK))
    : [];
  if (dirname(path) === from && there.length > 0 && !book && !there.includes(FEEDBACK))
    throw new UsageError(
      `the grades would go to ${name}, which is in the folder of the class and could be a submission; name another folder with --out`,
    );
  if (!replace && (book || (feedback?.length ?? 0) > 0))
    throw new UsageError(
      `${name} holds ${book ? 'a gradebook' : 'feedback'} already; add --replace to write over it, or name another folder with --out`,
    );
}

/** Makes the folders; gives back the names of files that are in the feedback folder already. */
export function makeGrades({ path, shown }: GradesFolder): string[] {
  const feedback = join(path, FEEDBACK);
  try {
    mkdirSync(feedback, { recursive: true });
  } catch (error) {
    throw new UsageError(
      `the folder ${visible(shown)} cannot be made: ${explainWriting(error)}; name another with --out`,
    );
  }
  return namesIn(feedback, join(visible(shown), FEEDBACK)) ?? [];
}

function explainWriting(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? error.code : '';
  return code === 'EACCES' || code === 'EPERM' || code === 'EROFS'
    ? 'there is no permission to write there'
    : explain(error);
}

/** What is in a folder; null when there is none. A link could lead anywhere, so it is refused. */
function namesIn(path: string, shown: string): string[] | null {
  try {
    const stats = lstatSync(path, { throwIfNoEntry: false });
    if (stats === undefined) return null;
    if (stats.isDirectory()) return readdirSync(path);
  } catch (error) {
    throw new UsageError(
      `the grades cannot be written to ${shown}: ${explain(error)}; name another folder with --out`,
    );
  }
  throw new UsageError(
    `${shown} is there already and is no folder; name another folder with --out`,
  );
}
