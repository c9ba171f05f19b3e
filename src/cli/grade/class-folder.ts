import { statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import {
  FEEDBACK,
  GRADEBOOK,
  type GradesFolder,
  HANDBOOK,
  holdsGrades,
  INDEX,
  PAGES,
  refusePlace,
  TEACHER,
} from '../../grade/grades-folder.js';
import { type Entry, listEntries } from '../../grade/list-entries.js';
import { GRADES_FILE } from '../../grade/older/grades-file.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import { LEDGER_NAME } from '../../waivers/ledger.js';
import type { Io } from '../io.js';
import type { GradeFlags } from './grade-flags.js';
import type { Grading } from './grading.js';

/** Where the grades go when nobody says. */
export const GRADES = 'grades';
/** What grading writes beside the feedback. */
const WRITTEN = [GRADEBOOK, FEEDBACK, GRADES_FILE, HANDBOOK, INDEX, TEACHER, PAGES];

/** The folder of a class. */
export interface ClassFolder {
  readonly path: string;
  /** As the user knows it. */
  readonly shown: string;
}

/** The folder that the user names. Throws UsageError where it is none. */
export function classFolder(shown: string, { cwd }: Pick<Io, 'cwd'>): ClassFolder {
  // What a variable of a script gives that is not set.
  if (shown === '') throw new UsageError('name the folder that contains the submissions');
  const path = resolve(cwd, shown);
  const is = kindOf(path);
  if (is === 'nothing')
    throw new UsageError(
      `there is no folder ${visible(shown)}; name the folder that contains the submissions`,
    );
  if (is === 'file')
    throw new UsageError(
      `${visible(shown)} is a file; name the folder that contains the submissions, or use "trysquare check"`,
    );
  return { path, shown };
}

/** Null where it cannot be looked at: listing it says why. */
function kindOf(path: string): 'folder' | 'file' | 'nothing' | null {
  try {
    const stats = statSync(path, { throwIfNoEntry: false });
    return stats === undefined ? 'nothing' : stats.isDirectory() ? 'folder' : 'file';
  } catch {
    return null;
  }
}

/**
 * What was handed in, in name order. Throws UsageError where it is nothing or cannot be listed, and where
 * the grades would lie among it.
 */
export function submissionsIn(
  { path, shown }: ClassFolder,
  grades: GradesFolder,
  grading: Grading,
  flags: GradeFlags,
  io: Pick<Io, 'cwd'>,
): Entry[] {
  const entries = listEntries(path, shown, notSubmitted(path, grades, grading, flags, io));
  refusePlace(grades, path);
  if (entries.length === 0)
    throw new UsageError(
      `the folder ${visible(shown)} has no submission in it; put a file or a folder into it for each, or name the folder that contains them`,
    );
  return entries;
}

/** Names in the class's folder that are no submissions, since trysquare reads or writes them. */
function notSubmitted(
  from: string,
  { path }: GradesFolder,
  { standard, like }: Grading,
  { cache, since }: GradeFlags,
  { cwd }: Pick<Io, 'cwd'>,
): Set<string> {
  const files = [path];
  for (const name of [standard, cache, since, like?.path])
    if (name != null) files.push(resolve(cwd, name));
  const within = files.filter((file) => dirname(file) === from).map((file) => basename(file));
  // Also those that an earlier run left, made from within the class.
  const earlier = holdsGrades({ path: join(from, GRADES), shown: GRADES }) ? [GRADES] : [];
  // Grades that lie among the submissions.
  const isAmong = path === from || holdsGrades({ path: from, shown: from });
  return new Set([STANDARD_NAME, LEDGER_NAME, ...within, ...earlier, ...(isAmong ? WRITTEN : [])]);
}
