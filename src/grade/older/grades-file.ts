import { Ajv, type ValidateFunction } from 'ajv';
import { UsageError } from '../../asset/errors.js';
import { brief, isRecord } from '../../house/house-file.js';
import { version } from '../../report/version.js';
import { GRADES_FORMAT, GRADES_VERSION, gradesSchema } from './grades-schema.js';
import type { HandIn, OlderMark } from './older-marks.js';

/** The name of the file in the folder of the grades. */
export const GRADES_FILE = 'grades.json';

/** What is kept beside a gradebook, so that the next hand-in can be compared with this one. */
export interface GradesFile {
  /** Digest of the rules, levels, limits and points that it was graded with. */
  readonly settings: string;
  /** Whether names are codes. */
  readonly anonymous: boolean;
  /** Every hand-in so far, this one last. */
  readonly handIns: readonly HandIn[];
  /** Those that were not handed in again included. */
  readonly submissions: readonly OlderMark[];
}

/** The file's text; a submission a line, so that it can be compared by lines. */
export function writeGradesFile({ submissions, ...head }: GradesFile): string {
  const lines = submissions.map((submission) => JSON.stringify(submission));
  const start = JSON.stringify({
    format: GRADES_FORMAT,
    formatVersion: GRADES_VERSION,
    tool: { name: 'trysquare', version },
    ...head,
  });
  return `${start.slice(0, -1)},"submissions":[\n${lines.join(',\n')}\n]}\n`;
}

/**
 * Reads such a file. Throws UsageError when it is none.
 *
 * @param what What it is and the path as the user knows it: `the grades grades/grades.json`.
 */
export function parseGradesFile(text: string, what: string): GradesFile {
  const wrong = (fault: string): UsageError =>
    new UsageError(
      `${what} ${fault}; name the gradebook in the same folder, and only points and grades are compared`,
    );
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    throw wrong(text.trim() === '' ? 'is empty' : 'is not JSON');
  }
  if (!isRecord(value) || value.format !== GRADES_FORMAT)
    throw wrong('was not written by trysquare');
  if (value.formatVersion !== GRADES_VERSION)
    throw wrong(
      `has format version ${brief(JSON.stringify(value.formatVersion) ?? 'none')}, but this trysquare reads version ${GRADES_VERSION}`,
    );
  const validate = checker();
  if (!validate(value)) {
    const { instancePath = '', message = 'is wrong' } = validate.errors?.[0] ?? {};
    throw wrong(`is damaged: ${instancePath || 'at the top'} ${message}`);
  }
  const { handIns } = value;
  const submissions = value.submissions.map((mark) => ({ ...mark, grade: mark.grade ?? null }));
  if (submissions.some(({ marks }) => marks.length !== handIns.length))
    throw wrong('is damaged: a submission does not have a mark for each hand-in');
  const names = new Set<string>();
  for (const { name } of submissions) {
    if (names.has(name)) throw wrong(`is damaged: the submission "${brief(name)}" is in it twice`);
    names.add(name);
  }
  return { ...value, submissions };
}

/** As a file has it that was perhaps written when there were no grades. */
interface WrittenGrades extends Omit<GradesFile, 'submissions'> {
  readonly submissions: readonly (Omit<OlderMark, 'grade'> & Partial<Pick<OlderMark, 'grade'>>)[];
}

let compiled: ValidateFunction<WrittenGrades> | null = null;

function checker(): ValidateFunction<WrittenGrades> {
  compiled ??= new Ajv({ strict: false }).compile<WrittenGrades>(gradesSchema);
  return compiled;
}
