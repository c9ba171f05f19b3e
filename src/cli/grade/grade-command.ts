import { existsSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { writeGradebook } from '../../grade/gradebook.js';
import {
  FEEDBACK,
  GRADEBOOK,
  type GradesFolder,
  holdsGrades,
  makeGrades,
  refuseOlder,
  refusePlace,
} from '../../grade/grades-folder.js';
import { listEntries } from '../../grade/list-entries.js';
import { nearCopies } from '../../grade/near-copies.js';
import { rubricOf } from '../../grade/rubric.js';
import { writeSummary } from '../../grade/summary.js';
import { wrapped } from '../../grade/wrapped.js';
import { counted } from '../../report/finding-words.js';
import { entryAddress } from '../../report/handbook-link.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import { LEDGER_NAME } from '../../waivers/ledger.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { handbookPlace } from '../output/handbook-place.js';
import { FileSet, tell, writeText } from '../output/write-output.js';
import { handbookOf, hasHandbook } from '../rules/handbook-file.js';
import { chooseSettings } from '../run/choose-settings.js';
import type { BatchFlags } from '../run/run-batch.js';
import { openEntry, type Submission } from './class-entries.js';
import type { Grading } from './class-pages.js';
import { gradeAll } from './grade-class.js';

export interface GradeFlags extends BatchFlags {
  readonly standard?: string | boolean;
  readonly out?: string;
  readonly replace?: boolean;
  readonly pages?: boolean;
  readonly with?: readonly string[];
}

/** Where the grades go when nobody says. */
const GRADES = 'grades';
/** The page that feedback leads to, beside the gradebook; none where the standard gives an address. */
const HANDBOOK = 'handbook.html';

/** `trysquare grade`: grades every submission in a folder. Returns the exit code. */
export async function runGrade(folder: string, flags: GradeFlags, io: Io): Promise<number> {
  const { out: shown = GRADES, replace = false, quiet = false } = flags;
  const from = resolve(io.cwd, folder);
  // Where it cannot be looked at, listing it says why.
  if (existsSync(from) && !statSync(from).isDirectory())
    throw new UsageError(
      `${visible(folder)} is a file; name the folder that contains the submissions, or use "trysquare check"`,
    );
  const grading = await chooseGrading(flags, io);
  const grades = { path: resolve(io.cwd, shown), shown };
  const entries = listEntries(from, folder, notSubmitted(from, grades, grading, flags, io));
  refusePlace(grades, from);
  if (entries.length === 0)
    throw new UsageError(
      `the folder ${visible(folder)} has no submission in it; a submission is a file or a folder`,
    );
  // Last: an old gradebook is beside the point when there is nothing to grade.
  if (!replace) refuseOlder(grades);
  const submissions: Submission[] = [];
  // One after the other: a class of thousands would have too many folders open at once.
  for (const entry of entries) submissions.push(await openEntry(entry, from));
  const names = submissions.flatMap(({ list }) => list.map((asset) => asset.shown));
  const pages =
    flags.pages === true
      ? new (await import('./class-pages.js')).ClassPages(grades, names, grading, replace, io)
      : null;
  const graded = await gradeAll(submissions, grading, pages, flags, io);
  if (graded === null) {
    await tell(io, 'the run was stopped; no gradebook and no feedback was written');
    return EXIT.stopped;
  }
  const { rows, feedback, failed } = graded;
  const { rubric, handbookPage } = grading;
  const similar = nearCopies(rows);
  let left: number;
  try {
    pages?.finish();
    left = writeGrades(
      grades,
      [
        ...feedback,
        ...(handbookPage === null ? [] : [[HANDBOOK, handbookPage] as const]),
        [GRADEBOOK, writeGradebook(rows, rubric, similar)],
      ],
      replace,
    );
  } catch (error) {
    pages?.discard();
    throw error;
  }
  const { columns } = io;
  await writeText(io.stdout, writeSummary(rows, rubric, similar, { quiet, columns }));
  const place = (name: string): string => visible(join(shown, name));
  const pageWords = pages === null ? '' : ` Pages: ${place('index.html')}.`;
  const handbookWords = handbookPage === null ? '' : ` Handbook: ${place(HANDBOOK)}.`;
  const where = `${counted(rows.length, 'submission')}. Gradebook: ${place(GRADEBOOK)}. Feedback: ${place(FEEDBACK)}.${pageWords}${handbookWords}`;
  const lines = columns === null ? [where] : wrapped(where, columns, '', 0);
  await writeText(io.stdout, `${lines.join('\n')}\n`);
  const [are, were] = left === 1 ? ['is', 'was'] : ['are', 'were'];
  if (left > 0)
    await tell(
      io,
      `${counted(left, 'file')} in ${place(FEEDBACK)} ${are} not from this run and ${were} not changed`,
    );
  return failed || rows.some(({ grade }) => grade === null) ? EXIT.unreadable : EXIT.sound;
}

async function chooseGrading(given: GradeFlags, io: Io): Promise<Grading> {
  const { standard: named, with: modules } = given;
  const flags = {
    ...(named !== undefined && { standard: named }),
    ...(modules !== undefined && { with: modules }),
    motion: true,
  };
  const chosen = await chooseSettings(flags, io);
  const { settings } = chosen;
  const anywhere = handbookPlace({}, settings, io)?.anywhere ?? null;
  const beside = anywhere === null && hasHandbook(io);
  return {
    ...chosen,
    rubric: rubricOf(chosen.points, settings.known),
    handbook: anywhere ?? (beside ? (rule) => entryAddress(`../${HANDBOOK}`, rule) : null),
    handbookPage: beside ? await handbookOf(settings.known, true, io) : null,
  };
}

/** Names in the class's folder that are no submissions, since trysquare reads or writes them. */
function notSubmitted(
  from: string,
  { path }: GradesFolder,
  { standard }: Grading,
  { cache }: GradeFlags,
  { cwd }: Io,
): Set<string> {
  const files = [path, join(path, GRADEBOOK), join(path, FEEDBACK)];
  for (const name of [standard, cache]) if (name != null) files.push(resolve(cwd, name));
  const within = files.filter((file) => dirname(file) === from).map((file) => basename(file));
  // Also those that an earlier run left, made from within the class.
  const earlier = holdsGrades({ path: join(from, GRADES), shown: GRADES }) ? [GRADES] : [];
  return new Set([STANDARD_NAME, LEDGER_NAME, ...within, ...earlier]);
}

/**
 * Writes the feedback, the handbook that it leads to, and then the gradebook; returns how many older files are left in between. What
 * was written where nothing was before is taken back when not all of it can be.
 */
function writeGrades(
  grades: GradesFolder,
  texts: readonly (readonly [name: string, text: string])[],
  replace: boolean,
): number {
  const there = makeGrades(grades);
  const written = new FileSet(replace);
  try {
    for (const [name, text] of texts)
      written.write(join(grades.path, name), visible(join(grades.shown, name)), text);
  } catch (error) {
    written.takeBack([join(grades.path, FEEDBACK), grades.path]);
    throw error;
  }
  const names = new Set(texts.map(([name]) => name));
  return there.filter((name) => !names.has(`${FEEDBACK}/${name}`)).length;
}
