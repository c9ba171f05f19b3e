import { join } from 'node:path';
import { FEEDBACK, GRADEBOOK, type GradesFolder, makeGrades } from '../../grade/grades-folder.js';
import { visible } from '../../report/visible.js';
import { FileSet } from '../output/write-output.js';

/**
 * Writes the feedback and then the gradebook; tells how many older files are left in between. What
 * was written where nothing was before is taken back when not all of it can be.
 */
export function writeGrades(
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
