import { type AssetPattern, assetPattern, namesOf } from '../house/asset-pattern.js';
import { brief, type HouseFile } from '../house/house-file.js';
import { PatternFault } from '../house/name-pattern.js';
import type { JsonSchema } from '../house/schema-line.js';

/** What of a hand-in is marked when a class is graded. */
export interface SubmissionRules {
  /** What the final files of a folder are called; null where all its files are marked. */
  readonly final: readonly FinalPattern[] | null;
  /** A text file in which the student names the final files; null for none. */
  readonly named: string | null;
  /** Whether each rig of a hand-in is marked by itself. */
  readonly apart: boolean;
}

export interface FinalPattern {
  /** As it is written. */
  readonly text: string;
  /** Of paths in lower case, in the hand-in's folder as the root. */
  readonly pattern: AssetPattern;
}

/** The same as a standard has it. */
export interface WrittenSubmissions {
  readonly final?: readonly string[];
  readonly named?: string;
  readonly rigs?: 'one' | 'apart';
  readonly like?: string;
}

/** Patterns of final files, and letters in one. */
const MOST_PATTERNS = 100;
const LONGEST_PATTERN = 500;
/** Letters of a path; those that systems take are shorter. */
const LONGEST_PATH = 4096;

export const SUBMISSIONS_SCHEMA: JsonSchema = {
  type: 'object',
  description: 'What is marked of each submission when a class is graded.',
  additionalProperties: false,
  properties: {
    final: {
      type: 'array',
      items: { type: 'string', minLength: 1, maxLength: LONGEST_PATTERN },
      minItems: 1,
      maxItems: MOST_PATTERNS,
      description:
        'What the final files in the folder of a submission are called, such as "*_final.glb". Only these are marked. Upper and lower case do not matter. A pattern without a slash is about files in all folders of the submission. Default: all files.',
    },
    named: {
      type: 'string',
      pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,100}\\.txt$',
      description:
        'A text file in the folder of a submission, such as "final.txt", in which the student names the final file, or several, one a line. Where it is there, it goes before "final".',
    },
    like: {
      type: 'string',
      minLength: 1,
      maxLength: LONGEST_PATH,
      description:
        'The model that all submissions rig, as a path relative to the folder of this file. Each is laid over it by its mesh.',
    },
    rigs: {
      enum: ['one', 'apart'],
      description:
        'How several rigs of one submission are marked: as one (one), or each with points and feedback of its own (apart). With apart, a rig of the model that was not handed in has a row, too. Default one.',
    },
  },
};

/** Compiles what a standard says. */
export function submissionsFrom(
  written: WrittenSubmissions,
  failAt: HouseFile['failAt'],
): SubmissionRules {
  const { final, named = null, rigs = 'one' } = written;
  const patterns = final?.map((text, at): FinalPattern => {
    try {
      return { text, pattern: finalPattern(text) };
    } catch (error) {
      if (!(error instanceof PatternFault)) throw error;
      return failAt(
        ['submissions', 'final', at],
        `"submissions" > "final" has "${brief(text)}", which ${error.message}`,
      );
    }
  });
  return { final: patterns ?? null, named, apart: rigs === 'apart' };
}

/** One without a slash is about names in all folders. Throws PatternFault. */
function finalPattern(text: string): AssetPattern {
  const lower = text.toLowerCase();
  if (!lower.includes('/')) return assetPattern(`**/${lower}`, '/');
  if (namesOf(lower, 'the folder of a submission')[0] === '..')
    throw new PatternFault(
      'leads out of the folder of a submission, where nothing is marked; write it from that folder on, without ".."',
    );
  return assetPattern(lower, '/');
}
