import { statSync } from 'node:fs';
import { basename, dirname, join, relative, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import type { CheckResult } from '../../batch/task.js';
import type { Settings } from '../../check/settings.js';
import { writeFeedback } from '../../grade/feedback.js';
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
import { type Entry, listEntries } from '../../grade/list-entries.js';
import { nearCopies } from '../../grade/near-copies.js';
import { type Row, rowOf } from '../../grade/row.js';
import { type Rubric, rubricOf } from '../../grade/rubric.js';
import { markSubmission } from '../../grade/submission.js';
import { writeSummary } from '../../grade/summary.js';
import { wrapped } from '../../grade/wrapped.js';
import { fileNames } from '../../report/file-names.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { FileSet, writeText } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { chooseSettings } from '../run/choose-settings.js';
import { type BatchFlags, checkFound } from '../run/run-batch.js';
import type { ClassPages } from './class-pages.js';

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
    left = writeAll(
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
  await writeText(io.stdout, whereLines(grades, rows.length, pages !== null, io));
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
  const { readPoints } = await import('../../standard/read-standard.js');
  const points = readPoints(resolve(io.cwd, standard), standard, rules);
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

/** A submission and what of it is to be checked. */
interface Submission {
  readonly name: string;
  readonly list: readonly FoundAsset[];
  /** Why there is nothing to check. */
  readonly reason: string | null;
}

/** Assets are called by their path in the class's folder, which is what a student knows. */
async function openEntry(entry: Entry, from: string): Promise<Submission> {
  const { name } = entry;
  if (entry.kind === 'other') return { name, list: [], reason: entry.reason };
  const path = join(from, name);
  if (entry.kind === 'asset')
    return { name, list: [{ kind: 'file', path, shown: name }], reason: null };
  // What is found there could be another's.
  if (!searchable(path)) return { name, list: [], reason: UNSEARCHED };
  const found = await findAssets([path], from);
  const list = found.map((item): FoundAsset => {
    const inside = relative(from, item.kind === 'file' ? item.path : resolve(from, item.shown));
    return { ...item, shown: process.platform === 'win32' ? inside.replace(/\\/g, '/') : inside };
  });
  const [only] = list;
  // An empty folder is no asset that could not be read.
  if (list.length === 1 && only?.kind === 'nothing' && only.shown === name)
    return { name, list: [], reason: only.reason };
  return { name, list, reason: null };
}

/** The search takes a backslash for a slash, wherever it runs, and so looks into another folder. */
function searchable(path: string): boolean {
  return process.platform === 'win32' || !path.includes('\\');
}

const UNSEARCHED = 'its path has a backslash and cannot be searched; give the folder another name';

interface Graded {
  readonly rows: readonly Row[];
  /** Texts by the path they are written to, in the folder of the grades. */
  readonly feedback: ReadonlyMap<string, string>;
}

/**
 * Checks and grades all submissions; null when the user stopped it. What was found in one is let go
 * as soon as its feedback is written, so that memory does not grow with the class.
 */
async function gradeAll(
  submissions: readonly Submission[],
  rubric: Rubric,
  settings: Settings,
  pages: ClassPages | null,
  flags: GradeFlags,
  io: Io,
): Promise<Graded | null> {
  const files = fileNames(submissions.map(({ name }) => name));
  const list = submissions.flatMap((submission) => submission.list);
  const run = checkFound(list, {
    settings,
    sarif: false,
    times: false,
    draw: pages !== null,
    flags,
    io,
  });
  const results = run.results[Symbol.asyncIterator]();
  const rows: Row[] = [];
  const feedback = new Map<string, string>();
  try {
    for (const [at, { name, list: own, reason }] of submissions.entries()) {
      const checked: CheckResult[] = [];
      while (checked.length < own.length) {
        const next = await results.next();
        if (next.done === true) break;
        checked.push(next.value);
      }
      // After a stop, results can be missing anywhere, and nothing is told.
      if (run.stopped()) break;
      const assets = checked.map(({ report }) => report);
      const marked = markSubmission(name, assets, reason, rubric, settings);
      pages?.add(
        marked,
        checked.map(({ report, pictures }) => ({ report, pictures: pictures ?? null })),
      );
      const path = `${FEEDBACK}/${files[at] ?? name}.md`;
      feedback.set(path, writeFeedback(marked, rubric, settings));
      rows.push(rowOf(marked, path, settings));
    }
  } finally {
    // Closes the workers, also when something went wrong.
    await results.return?.();
    if (run.stopped() || rows.length < submissions.length) pages?.discard();
  }
  return run.stopped() ? null : { rows, feedback };
}

/**
 * Writes the feedback and then the gradebook; tells how many older files are left in between. What
 * was written where nothing was before is taken back when not all of it can be.
 */
function writeAll(
  grades: GradesFolder,
  gradebook: string,
  feedback: ReadonlyMap<string, string>,
  replace: boolean,
): number {
  const there = makeGrades(grades);
  const written = new FileSet(replace);
  const write = (name: string, text: string): void =>
    written.write(join(grades.path, name), visible(join(grades.shown, name)), text);
  try {
    for (const [name, text] of feedback) write(name, text);
    write(GRADEBOOK, gradebook);
  } catch (error) {
    written.takeBack([join(grades.path, FEEDBACK), grades.path]);
    throw error;
  }
  return there.filter((name) => !feedback.has(`${FEEDBACK}/${name}`)).length;
}

function whereLines(
  { shown }: GradesFolder,
  submissions: number,
  pages: boolean,
  { columns }: Io,
): string {
  const [book, texts] = [visible(join(shown, GRADEBOOK)), visible(join(shown, FEEDBACK))];
  const words = `${counted(submissions, 'submission')}. Gradebook: ${book}. Feedback: ${texts}.${pages ? ` Pages: ${visible(join(shown, 'index.html'))}.` : ''}`;
  return `${columns === null ? words : wrapped(words, columns, '', 0).join('\n')}\n`;
}
