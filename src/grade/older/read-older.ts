import { UsageError } from '../../asset/errors.js';
import { brief } from '../../house/house-file.js';
import { cellText } from '../../report/csv-table.js';
import { ByName } from './csv-rows.js';
import { parseGradesFile } from './grades-file.js';
import type { OlderMark, OlderMarks } from './older-marks.js';
import { isSameGrade, listOf, readGradebook } from './read-gradebook.js';

/** A text that was read, and what it is: `the gradebook grades/gradebook.csv`. */
export interface OlderText {
  readonly text: string;
  readonly what: string;
}

/** Differences smaller than this are of rounding, in points. */
const SAME_POINTS = 0.05;
/** Submissions that a note lists. */
const LISTED = 3;

/**
 * What is known of the hand-ins before. Points and grades are those of the gradebook, since teachers correct
 * it by hand; what was at fault is in the other file alone. Throws UsageError where one of them cannot be used.
 *
 * @param shown What the user named.
 */
export function readOlder(
  shown: string,
  gradebook: OlderText | null,
  grades: OlderText | null,
): OlderMarks {
  const book = gradebook && readGradebook(gradebook.text, gradebook.what);
  const file = grades && parseGradesFile(grades.text, grades.what);
  const noted = (notes: readonly string[]): string[] =>
    notes.map((note) => `${gradebook?.what ?? shown} ${note}`);
  if (file === null) {
    if (book === null) throw new UsageError(`${shown} has no gradebook`);
    const { handIns, all, byName, notes } = book;
    const unknown = { hasFaults: false, settings: null, anonymous: null };
    return { shown, handIns, all, byName, ...unknown, notes: noted(notes) };
  }
  const notes = [...(book?.notes ?? [])];
  const outOf = file.handIns.at(-1)?.outOf ?? 0;
  const bookOutOf = book?.handIns.at(-1)?.outOf ?? outOf;
  const corrected: string[] = [];
  const inOutOf = (points: number | null): number | null =>
    points === null ? null : (points / bookOutOf) * outOf;
  const regraded: string[] = [];
  const kept = file.submissions.map((known): OlderMark => {
    const last = known.marks.at(-1) ?? null;
    const row = book?.byName.get(known.name);
    const written = row?.marks.at(-1);
    const given = row?.grade ?? null;
    const isRegraded = given !== null && (known.grade === null || !isSameGrade(given, known.grade));
    if (isRegraded) regraded.push(known.name);
    const mark = isRegraded ? { ...known, grade: given } : known;
    if (written === undefined) return mark;
    const points = inOutOf(written);
    const isSame =
      points === last ||
      (points !== null && last !== null && Math.abs(points - last) < SAME_POINTS);
    if (isSame) return mark;
    corrected.push(mark.name);
    const marks = [...mark.marks.slice(0, -1), points];
    // A grade that was not corrected as well was that of other points.
    return { ...mark, marks, grade: isRegraded ? given : null };
  });
  const quoted = (names: readonly string[]): string =>
    listOf(
      names.map((name) => `"${brief(name)}"`),
      LISTED,
    );
  if (corrected.length > 0)
    notes.push(
      `has other points than were worked out for ${quoted(corrected)}; those of the gradebook are used`,
    );
  if (regraded.length > 0)
    notes.push(
      `has other grades than were given for ${quoted(regraded)}; those of the gradebook are used`,
    );
  const byName = new ByName<OlderMark>();
  for (const mark of kept) byName.set(cellText(mark.name), mark);
  const added = (book?.all ?? [])
    .filter(({ name }) => byName.get(name) === undefined)
    .map((mark): OlderMark => {
      const marks = file.handIns.map((_, at) =>
        at === file.handIns.length - 1 ? inOutOf(mark.marks.at(-1) ?? null) : null,
      );
      return { ...mark, marks };
    });
  if (added.length > 0)
    notes.push(
      `has rows that were added by hand, for ${quoted(added.map(({ name }) => name))}; only their points and grades are compared`,
    );
  for (const mark of added) byName.set(cellText(mark.name), mark);
  const all = [...kept, ...added];
  const { handIns, settings, anonymous } = file;
  return { shown, handIns, all, byName, hasFaults: true, settings, anonymous, notes: noted(notes) };
}

/** The same under the names that codes stand for, or the other way round. */
export function renamed(older: OlderMarks, nameOf: (name: string) => string): OlderMarks {
  const all = older.all.map((mark) => ({ ...mark, name: nameOf(mark.name) }));
  const byName = new ByName<OlderMark>();
  for (const mark of all) byName.set(cellText(mark.name), mark);
  return { ...older, all, byName };
}
