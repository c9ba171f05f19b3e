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
 * Refuses a folder that could itself be a submission, or that cannot be written to. Nothing is made
 * yet.
 *
 * @param from The folder of the class.
 * @throws UsageError
 */
export function refusePlace(grades: GradesFolder, from: string): void {
  const { there, book, feedback } = lookInto(grades);
  if (dirname(grades.path) === from && there.length > 0 && !book && feedback === null)
    throw new UsageError(
      `the grades would go to ${visible(grades.shown)}, which is inside the folder of the class and could be a submission; name another folder with --out`,
    );
}

/**
 * Refuses a folder in which something would be written over.
 *
 * @throws UsageError
 */
export function refuseOlder(grades: GradesFolder): void {
  const { book, feedback } = lookInto(grades);
  if (book || (feedback?.length ?? 0) > 0)
    throw new UsageError(
      `${visible(grades.shown)} has ${book ? 'a gradebook' : 'feedback'} already; add --replace to overwrite it, or name another folder with --out`,
    );
}

/** Whether a folder holds what grading writes, and no link leads there. */
export function holdsGrades(grades: GradesFolder): boolean {
  try {
    const { book, feedback } = lookInto(grades);
    return book && feedback !== null;
  } catch {
    // A submission that happens to be called so.
    return false;
  }
}

interface Contents {
  readonly there: readonly string[];
  readonly book: boolean;
  /** Names in the feedback folder; null when there is none. */
  readonly feedback: readonly string[] | null;
}

function lookInto({ path, shown }: GradesFolder): Contents {
  const name = visible(shown);
  const there = namesIn(path, name) ?? [];
  const feedback = there.includes(FEEDBACK)
    ? namesIn(join(path, FEEDBACK), join(name, FEEDBACK))
    : null;
  return { there, book: there.includes(GRADEBOOK), feedback };
}

/** Makes the folders; gives back the names of files that are in the feedback folder already. */
export function makeGrades({ path, shown }: GradesFolder): string[] {
  const feedback = join(path, FEEDBACK);
  try {
    mkdirSync(feedback, { recursive: true });
  } catch (error) {
    throw new UsageError(
      `the folder ${visible(shown)} cannot be created: ${explainWriting(error)}; name another with --out`,
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
    `${shown} exists already and is not a folder; name another folder with --out`,
  );
}
