import {
  constant,
  count,
  flag,
  list,
  orNull,
  record,
  type Schema,
  text,
  textOrNull,
} from '../../report/schema-parts.js';
import { LONGEST_GRADE } from '../../standard/grade-steps.js';
import { LEAST_OUT_OF, MOST_POINTS } from './older-marks.js';

export const GRADES_FORMAT = 'trysquare-grades';
/** Goes up when the format changes. */
export const GRADES_VERSION = 1;

const faults = list(
  record(
    'What one rule found at one level.',
    {
      rule: text('Id of the rule.'),
      at: list(
        text('Its names from the top down; empty for the file as a whole.'),
        'A place for each thing that it found.',
      ),
      note: flag('Whether these are notes, as they count for points. Older files lack it.'),
      rigs: list(
        count('The rig, by its place among all rigs of the submission.'),
        'The rig of each place, in the same order. Left out where there is one rig, where it is about the file, and in older files.',
      ),
    },
    ['note', 'rigs'],
  ),
  'What was found, by rule, in the order of the findings; null where it was not graded at the last hand-in, or where nobody knows.',
);

/** JSON Schema (draft-07) of what `grade` keeps beside a gradebook. */
export const gradesSchema: Schema = {
  $schema: 'http://json-schema.org/draft-07/schema#',
  $id: `urn:trysquare:grades:${GRADES_VERSION}`,
  title: 'Trysquare grades of a class',
  ...record('What is kept of a class, so that its next hand-in can be compared with this one.', {
    format: constant(GRADES_FORMAT, 'Says that this is such a file.'),
    formatVersion: constant(GRADES_VERSION, 'Version of the format.'),
    tool: record('What wrote it.', { name: text('Its name.'), version: text('Its version.') }),
    settings: text('Digest of the rules, levels, limits and points that it was graded with.'),
    anonymous: flag('Whether names are codes.'),
    handIns: {
      ...list(
        record('One hand-in: all submissions that were graded together.', {
          outOf: {
            type: 'number',
            minimum: LEAST_OUT_OF,
            description: 'The points that could be had.',
          },
        }),
        'Every hand-in so far, the newest last.',
      ),
      minItems: 1,
    },
    submissions: list(
      record(
        'One submission, also when it was not handed in again.',
        {
          name: text('As the gradebook has it, or its code.'),
          content: textOrNull(
            'Digest of the files that were marked, in hexadecimal; null where one could not be read.',
          ),
          joints: textOrNull(
            'Digest of the paths of all joints, in hexadecimal; null where there are none.',
          ),
          faults: orNull(faults),
          marks: list(
            { type: ['number', 'null'], minimum: -MOST_POINTS, maximum: MOST_POINTS },
            'Points of each hand-in, in order; null where it has none.',
          ),
          grade: {
            ...textOrNull(
              'The grade of the last hand-in that it took part in; null where there is none. Older files lack it.',
            ),
            maxLength: LONGEST_GRADE,
          },
        },
        ['grade'],
      ),
      'The submissions: those of the newest hand-in, then those of earlier ones alone.',
    ),
  }),
};
