import { join } from 'node:path';
import { FEEDBACK, type GradesFolder, makeGrades } from '../../grade/grades-folder.js';
import { visible } from '../../report/visible.js';
import { FileSet } from '../output/write-output.js';

/**
 * Writes texts by their names, feedback and the handbook that it leads to before the gradebook; returns
 * how many older files are left among the feedback. What was written where nothing was before is taken
 * back when not all of it can be.
 *
 * @param others Names of feedback that this run has written already.
 */
export function writeGrades(
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
