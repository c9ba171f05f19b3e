import { join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { plainSettings, settingsDigest } from '../../check/settings.js';
import { courseOf, gradesFileOf } from '../../grade/course.js';
import { writeGradebook } from '../../grade/gradebook.js';
import { FEEDBACK, GRADEBOOK, HANDBOOK, refuseOlder } from '../../grade/grades-folder.js';
import { dueDate } from '../../grade/late.js';
import { nearCopies } from '../../grade/near-copies.js';
import { GRADES_FILE, writeGradesFile } from '../../grade/older/grades-file.js';
import { digestOf } from '../../grade/older/mark-record.js';
import { writeSummary } from '../../grade/summary.js';
import { wrapped } from '../../grade/wrapped.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, writeText } from '../output/write-output.js';
import { chooseGrading } from './choose-grading.js';
import { openEntry, type Submission } from './class-entries.js';
import { classFolder, GRADES, submissionsIn } from './class-folder.js';
import { gradeAll } from './grade-class.js';
import type { GradeFlags } from './grade-flags.js';
import type { Term } from './grading.js';
import { type KeyPlace, keyPlace } from './key-place.js';
import { readSince } from './read-since.js';
import { writeGrades } from './write-grades.js';

/** `trysquare grade`: grades every submission in a folder. Returns the exit code. */
export async function runGrade(folder: string, flags: GradeFlags, io: Io): Promise<number> {
  const { out: shown = GRADES, replace = false, quiet = false } = flags;
  const from = classFolder(folder, io);
  const due = flags.due === undefined ? null : dueDate(flags.due);
  const key = keyOf(flags, shown, from.path, io);
  const grading = await chooseGrading(flags, io);
  if (grading.approved.length > 0)
    await tell(
      io,
      `${visible(grading.standard ?? 'the standard')} names approved rigs; grading does not compare with these: give the model of the class with --like, or compare with "trysquare check"`,
    );
  const grades = { path: resolve(io.cwd, shown), shown };
  const entries = submissionsIn(from, grades, grading, flags, io);
  const given = flags.since === undefined ? null : readSince(flags.since, io.cwd);
  if (given?.anonymous === true && key === null)
    throw new UsageError(
      `${given.shown} was graded with codes instead of names; add --anonymous, and name its key with --key`,
    );
  // Last: an old gradebook is beside the point when there is nothing to grade.
  if (!replace) refuseOlder(grades);
  const named: Submission[] = [];
  // One after the other: a class of thousands would have too many folders open at once.
  for (const entry of entries) named.push(await openEntry(entry, from.path, grading.submissions));
  const coded = key && (await import('./anonymous.js')).anonymised(named, given, key);
  const { submissions, older } = coded ?? { submissions: named, older: given };
  for (const note of [...grading.notes, ...(older?.notes ?? [])]) await tell(io, visible(note));
  const names = submissions.flatMap(({ list }) => list.map((asset) => asset.shown));
  const pages =
    flags.pages === true
      ? new (await import('./class-pages.js')).ClassPages(grades, names, grading, replace, io)
      : null;
  const settings = digestOf([
    settingsDigest(plainSettings(grading.settings)),
    JSON.stringify(grading.rubric),
    ...(grading.like === null ? [] : [grading.like.digest]),
  ]);
  const isCoded = coded !== null;
  const clean = coded?.clean ?? ((asset) => asset);
  const term: Term = { due, older, settings, anonymous: isCoded, clean };
  const graded = await gradeAll(submissions, grading, term, pages, flags, io);
  if (graded === null) {
    await tell(io, 'the run was stopped; no gradebook and no feedback was written');
    return EXIT.stopped;
  }
  const { rows, feedback, failed } = graded;
  const { rubric, handbookPage } = grading;
  const similar = nearCopies(rows);
  const course = older && courseOf(rows, older, rubric);
  const kept = gradesFileOf(rows, rubric, course, { settings, anonymous: isCoded });
  let left: number;
  try {
    pages?.finish(rows, course, similar);
    coded?.writeKey();
    const texts = new Map([
      ...feedback,
      ...(handbookPage === null ? [] : [[HANDBOOK, handbookPage] as const]),
      [GRADES_FILE, writeGradesFile(kept)],
      [GRADEBOOK, writeGradebook(rows, rubric, similar, { due, course })],
    ]);
    left = writeGrades(grades, texts, pages?.feedback ?? new Set(), replace);
  } catch (error) {
    pages?.discard();
    throw error;
  }
  const { columns } = io;
  await writeText(io.stdout, writeSummary(rows, rubric, similar, { quiet, columns, course }));
  const place = (name: string): string => visible(join(shown, name));
  const pageWords = pages === null ? '' : ` ${pages.words()}`;
  const handbookWords = handbookPage === null ? '' : ` Handbook: ${place(HANDBOOK)}.`;
  const keyWords = key === null ? '' : ` Key, for you alone: ${visible(key.shown)}.`;
  const where = `${counted(rows.length, 'submission')}. Gradebook: ${place(GRADEBOOK)}. Feedback: ${place(FEEDBACK)}.${pageWords}${handbookWords}${keyWords}`;
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

/** Where the key of an anonymous class lies; null for one under its names. Throws UsageError. */
function keyOf(
  { anonymous = false, key }: GradeFlags,
  out: string,
  from: string,
  io: Io,
): KeyPlace | null {
  if (anonymous) return keyPlace(key, out, from, io);
  if (key === undefined) return null;
  throw new UsageError('--key is only of use with --anonymous; add it, or leave out --key');
}
