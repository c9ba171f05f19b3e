import { lstatSync, readdirSync } from 'node:fs';
import { dirname, isAbsolute, join, relative, sep } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import { makeFolderAt } from '../asset/make-folder.js';
import { visible } from '../report/visible.js';

export const GRADEBOOK = 'gradebook.csv';
export const FEEDBACK = 'feedback';
/** The page that feedback leads to, beside the gradebook; none where the standard gives an address. */
export const HANDBOOK = 'handbook.html';
/** The page of the class, that of the teacher, and the folder with those of the rigs. */
export const [INDEX, TEACHER, PAGES] = ['index.html', 'teacher.html', 'pages'] as const;

/** The folder that grades are written to. */
export interface GradesFolder {
  readonly path: string;
  /** As the user knows it. */
  readonly shown: string;
}

/**
 * Refuses a folder that could itself be a submission in the class's folder `from`, or that cannot be
 * written to: also one further down in that folder, whose folder would be one then. Nothing is made yet.
 * Throws UsageError.
 */
export function refusePlace(grades: GradesFolder, from: string): void {
  if (grades.shown === '' || grades.shown === '-')
    throw new UsageError('--out has to name a folder, such as grades');
  const { isEmpty, book, feedback } = lookInto(grades);
  const inside = relative(from, grades.path);
  const [first = '', ...below] = inside.split(sep);
  const isDeep = below.length > 0 && !first.startsWith('.') && !isAbsolute(inside);
  const couldBeOne = dirname(grades.path) === from && !isEmpty && !book && feedback === null;
  if (isDeep || couldBeOne)
    throw new UsageError(
      `the grades would go to ${visible(grades.shown)}, which is inside the folder of the class and could be a submission; name another folder with --out`,
    );
}

/** Refuses a folder in which something would be written over. Throws UsageError. */
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

/** Whether there is a gradebook, and the names in the feedback folder; null when there is none. */
function lookInto({ path, shown }: GradesFolder) {
  const names = namesIn(path, visible(shown)) ?? [];
  return {
    isEmpty: names.length === 0,
    book: names.includes(GRADEBOOK),
    feedback: names.includes(FEEDBACK) ? feedbackNames({ path, shown }) : null,
  };
}

function feedbackNames({ path, shown }: GradesFolder): string[] | null {
  return namesIn(join(path, FEEDBACK), join(visible(shown), FEEDBACK));
}

/** Makes the folders; gives back the names of files that are in the feedback folder already. */
export function makeGrades(grades: GradesFolder): string[] {
  try {
    makeFolderAt(join(grades.path, FEEDBACK));
  } catch (error) {
    throw new UsageError(
      `the folder ${visible(grades.shown)} cannot be created: ${explainWriting(error)}; name another with --out`,
    );
  }
  return feedbackNames(grades) ?? [];
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
