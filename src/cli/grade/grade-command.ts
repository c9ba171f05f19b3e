import { statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import type { Settings } from '../../check/settings.js';
import { writeGradebook } from '../../grade/gradebook.js';
import {
  FEEDBACK,
  GRADEBOOK,
  type GradesFolder,
  holdsGrades,
  refuseOlder,
  refusePlace,
} from '../../grade/grades-folder.js';
import { listEntries } from '../../grade/list-entries.js';
import { nearCopies } from '../../grade/near-copies.js';
import { type Rubric, rubricOf } from '../../grade/rubric.js';
import { writeSummary } from '../../grade/summary.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { chooseSettings } from '../run/choose-settings.js';
import type { BatchFlags } from '../run/run-batch.js';
import { openEntry, type Submission } from './class-entries.js';
import { gradeAll } from './grade-class.js';
import { whereLines } from './grade-words.js';
import { writeGrades } from './write-grades.js';

export interface GradeFlags extends BatchFlags {
  readonly standard?: string | boolean;
  readonly out?: string;
  readonly replace?: boolean;
  readonly pages?: boolean;
}

/** Where the grades go when nobody says. */
export const GRADES = 'grades';

/** `trysquare grade`: grades every submission in a folder. Returns the exit code. */
export async function runGrade(folder: string, flags: GradeFlags, io: Io): Promise<number> {
  const from = resolve(io.cwd, folder);
  refuseFile(from, folder);
  const { settings, rubric, standard } = await chooseRubric(flags, io);
  const shown = flags.out ?? GRADES;
  const grades = { path: resolve(io.cwd, shown), shown };
  const entries = listEntries(from, folder, ownNames(from, grades, standard, flags, io));
  refusePlace(grades, from);
  if (entries.length === 0)
    throw new UsageError(
      `the folder ${visible(folder)} has no submission in it; a submission is a file or a folder`,
    );
  // Last: an old gradebook is beside the point when there is nothing to grade.
  if (flags.replace !== true) refuseOlder(grades);
  const submissions: Submission[] = [];
  // One after the other: a class of thousands would have too many folders open at once.
  for (const entry of entries) submissions.push(await openEntry(entry, from));
  const names = submissions.flatMap(({ list }) => list.map((item) => item.shown));
  const pages =
    flags.pages === true
      ? new (await import('./class-pages.js')).ClassPages(
          grades,
          names,
          settings,
          rubric,
          standard,
          flags.replace === true,
          io,
        )
      : null;
  const graded = await gradeAll(submissions, rubric, settings, pages, flags, io);
  if (graded === null) {
    const words = 'the run was stopped; no gradebook and no feedback was written';
    await writeText(io.stderr, `trysquare: ${words}\n`);
    return EXIT.stopped;
  }
  const { rows, feedback } = graded;
  const similar = nearCopies(rows);
  let left: number;
  try {
    pages?.finish();
    left = writeGrades(
      grades,
      writeGradebook(rows, rubric, similar),
      feedback,
      flags.replace === true,
    );
  } catch (error) {
    pages?.discard();
    throw error;
  }
  const options = { quiet: flags.quiet === true, columns: io.columns };
  await writeText(io.stdout, writeSummary(rows, rubric, similar, options));
  await writeText(io.stdout, whereLines(grades, rows.length, pages !== null, io.columns));
  if (left > 0)
    await writeText(
      io.stderr,
      `trysquare: ${counted(left, 'file')} in ${visible(join(shown, FEEDBACK))} ${left === 1 ? 'is' : 'are'} not from this run and ${left === 1 ? 'was' : 'were'} not changed\n`,
    );
  return rows.some(({ grade }) => grade === null) ? EXIT.unreadable : EXIT.sound;
}

function refuseFile(path: string, shown: string): void {
  let isFolder = true;
  try {
    isFolder = statSync(path).isDirectory();
  } catch {
    // Listing it says why it cannot be read.
  }
  if (!isFolder)
    throw new UsageError(
      `${visible(shown)} is a file; name the folder that contains the submissions, or use "trysquare check"`,
    );
}

async function chooseRubric(
  { standard: named }: GradeFlags,
  io: Io,
): Promise<{ settings: Settings; rubric: Rubric; standard: string | null }> {
  const flags = { ...(named === undefined ? {} : { standard: named }), motion: true };
  const { settings, standard } = await chooseSettings(flags, io);
  if (standard === null) return { settings, rubric: rubricOf(null, rules), standard };
  const { readStandard } = await import('../../standard/read-standard.js');
  const { points } = readStandard(resolve(io.cwd, standard), standard, rules);
  return { settings, rubric: rubricOf(points, rules), standard };
}

/** Names in the class's folder that are no submissions, since this tool reads or writes them. */
function ownNames(
  from: string,
  { path }: GradesFolder,
  standard: string | null,
  { cache }: GradeFlags,
  { cwd }: Io,
): Set<string> {
  const own = [
    path,
    join(path, GRADEBOOK),
    join(path, FEEDBACK),
    ...[standard, cache].flatMap((name) => (name == null ? [] : [resolve(cwd, name)])),
  ];
  const within = own.filter((item) => dirname(item) === from).map((item) => basename(item));
  // Also those that an earlier run left, made from within the class.
  const earlier = holdsGrades({ path: join(from, GRADES), shown: GRADES }) ? [GRADES] : [];
  return new Set([STANDARD_NAME, 'trysquare.waivers.json', ...within, ...earlier]);
}
