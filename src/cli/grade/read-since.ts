import { existsSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { GRADEBOOK } from '../../grade/grades-folder.js';
import { GRADES_FILE } from '../../grade/older/grades-file.js';
import type { OlderMarks } from '../../grade/older/older-marks.js';
import { type OlderText, readOlder } from '../../grade/older/read-older.js';
import { readHouseBytes, readHouseText } from '../../house/house-file.js';
import { decodeTable } from '../../house/table-text.js';
import { visible } from '../../report/visible.js';

/** Bytes of a gradebook, and of the file beside it: a class of thousands fits many times over. */
const LONGEST_BOOK = 1 << 24;
const LONGEST_GRADES = 1 << 28;

/**
 * Reads what `--since` names: the folder of older grades, or a gradebook alone. Throws UsageError.
 *
 * @param given As the user wrote it.
 */
export function readSince(given: string, cwd: string): OlderMarks {
  const shown = visible(given);
  const path = resolve(cwd, given);
  if (!existsSync(path))
    throw new UsageError(
      `--since ${shown}: there is no such file or folder; name a gradebook or a folder that "trysquare grade" wrote`,
    );
  if (!isFolder(path)) {
    const older = readOlder(shown, bookAt(path, shown), null);
    return {
      ...older,
      notes: [
        ...older.notes,
        `${shown} is a gradebook, which has points and grades alone: what was mended is not known. Name the folder of those grades to compare it too`,
      ],
    };
  }
  const [book, grades] = [join(path, GRADEBOOK), join(path, GRADES_FILE)];
  const [hasBook, hasGrades] = [book, grades].map((file) => existsSync(file));
  if (!hasBook && !hasGrades)
    throw new UsageError(
      `--since ${shown}: the folder has no ${GRADEBOOK}; name a gradebook or a folder that "trysquare grade" wrote`,
    );
  const older = readOlder(
    shown,
    hasBook ? bookAt(book, `${shown}/${GRADEBOOK}`) : null,
    hasGrades ? gradesAt(grades, `${shown}/${GRADES_FILE}`) : null,
  );
  if (hasGrades) return older;
  return {
    ...older,
    notes: [
      ...older.notes,
      `${shown} has no ${GRADES_FILE}, so only points and grades are compared: what was mended is not known`,
    ],
  };
}

function isFolder(path: string): boolean {
  return statSync(path).isDirectory();
}

function bookAt(path: string, shown: string): OlderText {
  const what = `the gradebook ${shown}`;
  return { text: decodeTable(readHouseBytes(path, what, LONGEST_BOOK), what).text, what };
}

function gradesAt(path: string, shown: string): OlderText {
  const what = `the file ${shown}`;
  return { text: readHouseText(path, what, LONGEST_GRADES), what };
}
