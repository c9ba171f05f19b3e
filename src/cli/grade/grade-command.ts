import { existsSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { plainSettings, settingsDigest } from '../../check/settings.js';
import { courseOf, gradesFileOf } from '../../grade/course.js';
import { FIT } from '../../grade/grade-assets.js';
import { writeGradebook } from '../../grade/gradebook.js';
import {
  FEEDBACK,
  GRADEBOOK,
  type GradesFolder,
  HANDBOOK,
  holdsGrades,
  INDEX,
  makeGrades,
  PAGES,
  refuseOlder,
  refusePlace,
  TEACHER,
} from '../../grade/grades-folder.js';
import { dueDate } from '../../grade/late.js';
import { listEntries } from '../../grade/list-entries.js';
import { nearCopies } from '../../grade/near-copies.js';
import { GRADES_FILE, writeGradesFile } from '../../grade/older/grades-file.js';
import { digestOf } from '../../grade/older/mark-record.js';
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
import { type ClassModel, openModel } from './class-model.js';
import { gradeAll } from './grade-class.js';
import type { Grading, Term } from './grading.js';
import { type KeyPlace, keyPlace } from './key-place.js';
import { readSince } from './read-since.js';

export interface GradeFlags extends BatchFlags {
  readonly standard?: string | boolean;
  readonly out?: string;
  readonly replace?: boolean;
  readonly pages?: boolean;
  readonly with?: readonly string[];
  readonly like?: string;
  readonly since?: string;
  readonly due?: string;
  readonly anonymous?: boolean;
  readonly key?: string;
}

/** Where the grades go when nobody says. */
const GRADES = 'grades';
/** What grading writes beside the feedback. */
const WRITTEN = [GRADEBOOK, FEEDBACK, GRADES_FILE, HANDBOOK, INDEX, TEACHER, PAGES];

/** `trysquare grade`: grades every submission in a folder. Returns the exit code. */
export async function runGrade(folder: string, flags: GradeFlags, io: Io): Promise<number> {
  const { out: shown = GRADES, replace = false, quiet = false } = flags;
  // What a variable of a script gives that is not set.
  if (folder === '') throw new UsageError('name the folder that contains the submissions');
  const from = resolve(io.cwd, folder);
  // Where it cannot be looked at, listing it says why.
  if (existsSync(from) && !statSync(from).isDirectory())
    throw new UsageError(
      `${visible(folder)} is a file; name the folder that contains the submissions, or use "trysquare check"`,
    );
  const due = flags.due === undefined ? null : dueDate(flags.due);
  const key = keyOf(flags, shown, from, io);
  const grading = await chooseGrading(flags, io);
  if (grading.approved.length > 0)
    await tell(
      io,
      `${visible(grading.standard ?? 'the standard')} names approved rigs; grading does not compare with these: give the model of the class with --like, or compare with "trysquare check"`,
    );
  const grades = { path: resolve(io.cwd, shown), shown };
  const entries = listEntries(from, folder, notSubmitted(from, grades, grading, flags, io));
  refusePlace(grades, from);
  if (entries.length === 0)
    throw new UsageError(
      `the folder ${visible(folder)} has no submission in it; a submission is a file or a folder`,
    );
  const given = flags.since === undefined ? null : readSince(flags.since, io.cwd);
  if (given?.anonymous === true && key === null)
    throw new UsageError(
      `${given.shown} was graded with codes instead of names; add --anonymous, and name its key with --key`,
    );
  // Last: an old gradebook is beside the point when there is nothing to grade.
  if (!replace) refuseOlder(grades);
  const named: Submission[] = [];
  // One after the other: a class of thousands would have too many folders open at once.
  for (const entry of entries) named.push(await openEntry(entry, from, grading.submissions));
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

/** With what is said of it once. */
type Chosen = Grading & Pick<ClassModel, 'notes'>;

async function chooseGrading(given: GradeFlags, io: Io): Promise<Chosen> {
  const { standard: named, with: modules } = given;
  const flags = {
    ...(named !== undefined && { standard: named }),
    ...(modules !== undefined && { with: modules }),
    motion: true,
  };
  const chosen = await chooseSettings(flags, io);
  const { points, grading, settings } = chosen;
  const anywhere = handbookPlace({}, settings, io)?.anywhere ?? null;
  const beside = anywhere === null && hasHandbook(io);
  const model = await openModel(given.like, chosen, io);
  const isUnpaid = model !== null && points !== null && !(points[FIT] ?? 0);
  return {
    ...chosen,
    like: model?.task ?? null,
    notes: [...(model?.notes ?? []), ...(isUnpaid ? [unpaidWords(chosen.standard)] : [])],
    rubric: rubricOf(points, settings.known, grading ?? undefined, model !== null),
    handbook: anywhere ?? (beside ? (rule) => entryAddress(`../${HANDBOOK}`, rule) : null),
    handbookPage: beside ? await handbookOf(settings.known, true, io, 'student') : null,
  };
}

function unpaidWords(standard: string | null): string {
  return `the standard ${standard ?? ''} gives no points to "${FIT}", so being unlike the model costs none; give it some under "points"`;
}

/** Names in the class's folder that are no submissions, since trysquare reads or writes them. */
function notSubmitted(
  from: string,
  { path }: GradesFolder,
  { standard, like }: Grading,
  { cache, since }: GradeFlags,
  { cwd }: Io,
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

/**
 * Writes texts by their names, feedback and the handbook that it leads to before the gradebook; returns
 * how many older files are left among the feedback. What was written where nothing was before is taken
 * back when not all of it can be.
 *
 * @param others Names of feedback that this run has written already.
 */
function writeGrades(
  grades: GradesFolder,
  texts: ReadonlyMap<string, string>,
  others: ReadonlySet<string>,
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
  return there.filter((name) => !texts.has(`${FEEDBACK}/${name}`) && !others.has(name)).length;
}
