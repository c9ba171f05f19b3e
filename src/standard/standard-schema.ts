import type { JsonSchema } from '../house/schema-line.js';
import { LEVELS, type Unit } from '../kit/finding.js';
import type { LimitSpec, Rule } from '../kit/rule.js';
import { ALL_AXES, axisName } from '../measure/facts.js';
import { LENGTH_UNITS } from '../measure/length-units.js';
import { MIRROR_SCHEMES, SCHEME_WORDS } from '../measure/mirror-schemes.js';
import { LONGEST_PATTERN, PLAIN_PATTERN, SIDE_SPELLINGS } from '../measure/names/name-pattern.js';
import { unitAfter } from '../report/finding-words.js';
import { contractSchema } from './contract-schema.js';
import { gradingSchema } from './grading.js';
import { SUBMISSIONS_SCHEMA } from './submission-rules.js';

/**
 * Points of each family of rules where a standard gives none: 100 in all (common practice). Published
 * gradings of rigging courses weigh axes, placement, zeroed defaults, naming and skinning each by itself
 * ("Rigging rubric", rcampus.com, code WXW7A92; a university course, maaa303.blogspot.com, 2013 and 2015),
 * and so does this one: 10 for each topic, and 20 for skin with how it bends. The tree (root, chain) has 30
 * in all, since what hangs wrong is built anew, with all below it. Naming has half of the 20 that the first
 * of these gives it: other names are a quick mend. A file without a skin is no rig to grade.
 */
export const DEFAULT_POINTS: Readonly<Record<string, number>> = {
  root: 10,
  rest: 10,
  axis: 10,
  scale: 10,
  chain: 20,
  place: 10,
  skin: 15,
  motion: 5,
  name: 10,
  fit: 0,
  house: 0,
  file: 0,
};

/**
 * The same for a class that rigs one model: 15 for being like it, 100 in all. Its joints say where chains
 * and joints belong, so these points come from root, chain and placement, 5 each (common practice).
 */
export const POINTS_WITH_MODEL: Readonly<Record<string, number>> = {
  ...DEFAULT_POINTS,
  root: 5,
  chain: 15,
  place: 5,
  fit: 15,
};

/** No measure of a rig comes near it, so that more can only be a slip; JSON even has numbers without end (1e999). */
export const MOST_LIMIT = 1e9;

/** Patterns of what a search leaves out, and letters in one: paths that systems take are shorter. */
const MOST_WITHOUT = 100;
const LONGEST_WITHOUT = 4096;

/** Points that a family may be given. */
const MOST_POINTS = 10_000;

/** Letters of a path; those that systems take are shorter. */
const LONGEST_PATH = 4096;

/** Digits that a number may be asked to have: more joints than that have no rig. */
export const MOST_DIGITS = 6;

/**
 * The JSON Schema of a standard file, made from the rules: editors complete and check with it, and
 * so does the reader.
 */
export function standardSchema(rules: readonly Rule[]): JsonSchema {
  const families = [...new Set(rules.map((rule) => rule.family))];
  const level = (description: string): JsonSchema => ({ enum: [...LEVELS, 'none'], description });
  const axis = (description: string): JsonSchema => ({ enum: ALL_AXES.map(axisName), description });
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'A trysquare standard: what a house requires of its rigs',
    type: 'object',
    additionalProperties: false,
    properties: {
      $schema: { type: 'string', description: 'Where an editor finds this schema.' },
      name: { type: 'string', description: 'What people call the standard; shown in reports.' },
      alone: {
        type: 'boolean',
        description:
          'Whether nothing is taken from a trysquare.json in the folders above. Default false: what this file leaves out is taken from the next one above.',
      },
      conventions: closed(
        'Axes and units that every rig must use. What is left out is found from each rig.',
        {
          aim: axis('Local axis that points along the bone to the next joint.'),
          up: axis('Second axis of the frame; points up on a level midline.'),
          mirror: {
            enum: MIRROR_SCHEMES,
            description: `How the frames of right joints follow from left ones. ${MIRROR_SCHEMES.map((scheme) => `${scheme}: ${SCHEME_WORDS[scheme]}`).join('; ')}.`,
          },
          unit: {
            enum: LENGTH_UNITS,
            description: 'What one unit of length in an asset is. Default m.',
          },
        },
      ),
      names: NAMES,
      rest: {
        enum: ['bind', 'posed'],
        description:
          'The pose that rigs are delivered in: bind (the pose they were bound in) or posed (another pose, on purpose). Default bind.',
      },
      contract: contractSchema(),
      without: {
        type: 'array',
        items: { type: 'string', minLength: 1, maxLength: LONGEST_WITHOUT },
        maxItems: MOST_WITHOUT,
        description:
          'Folders and files that a search leaves out, such as "old" or "drafts/*.glb". A name without a slash counts in every folder below that of this file; a path begins there. A file that is named itself is always checked; a folder is not.',
      },
      handbook: {
        type: 'string',
        maxLength: LONGEST_PATH,
        description:
          'Address on the web of the handbook that pages, feedback and SARIF lead to, such as https://house.example/handbook.html: a page that "trysquare rules --out" wrote.',
      },
      failing: {
        enum: [...LEVELS, 'never'],
        description: 'Findings at this level or above make a rig unsound. Default error.',
      },
      approved: {
        type: 'object',
        description:
          'Approved assets that others must fit: patterns of assets, such as puppets/heron*.glb, each with the path of its approved asset. Both are relative to the folder of this file. Where several patterns match an asset, the most specific one applies: the one with the most letters that are no wildcards. Patterns of this file go before those of the files above.',
        additionalProperties: { type: 'string', minLength: 1, maxLength: LONGEST_PATH },
      },
      levels: closed(
        'Level for all findings of a rule, such as axis.up, or of a family of rules, such as axis. none leaves them out. The level of a rule comes before that of its family.',
        {
          ...each(families, (family) => [family, level(`All rules ${family}.*.`)]),
          ...each(rules, ({ id, title }) => [id, level(sentence(title))]),
        },
      ),
      limits: closed(
        'Limits that differ from the default, by rule.',
        each(
          rules.filter((rule) => Object.keys(rule.limits).length > 0),
          ({ id, title, limits }) => [
            id,
            closed(
              sentence(title),
              each(Object.entries(limits), ([name, spec]) => [name, limitSchema(spec)]),
            ),
          ],
        ),
      ),
      points: closed(
        'Points of each family of rules when a class is graded, with one decimal at most. Families that are left out are worth 0.',
        each(families, (family) => [family, pointsSchema(family)]),
      ),
      grading: gradingSchema(rules),
      submissions: SUBMISSIONS_SCHEMA,
    },
  };
}

const NAMES = closed(
  'How joints are named. Sides are checked against it, and a mend uses it to rename joints with faulty names. Without it, a mend names joints as most joints of the rig are named.',
  {
    pattern: {
      type: 'string',
      maxLength: LONGEST_PATTERN,
      default: PLAIN_PATTERN,
      description: `{name}, {number} and {side} in their order, each once. Write the separator before or after number and side (space, _, - or .) inside their braces; it is left out together with them. Default ${PLAIN_PATTERN}.`,
    },
    sides: {
      enum: SIDE_SPELLINGS,
      default: SIDE_SPELLINGS[0],
      description: 'The words for left and right. Default L/R.',
    },
    digits: {
      type: 'integer',
      minimum: 1,
      maximum: MOST_DIGITS,
      default: 1,
      description: 'Smallest number of digits, filled with zeros. Default 1.',
    },
    checked: {
      enum: ['sides', 'all'],
      default: 'sides',
      description:
        'Names that are checked: sides (those that tell a side) or all (numbers and digits too). Default sides.',
    },
  },
);

/** An object that has no other keys. */
function closed(description: string, properties: Readonly<Record<string, JsonSchema>>): JsonSchema {
  return { type: 'object', description, additionalProperties: false, properties };
}

function each<T>(
  things: readonly T[],
  property: (thing: T) => [string, JsonSchema],
): Record<string, JsonSchema> {
  return Object.fromEntries(things.map(property));
}

function pointsSchema(family: string): JsonSchema {
  const description = `Points for the rules ${family}.*: ${DEFAULT_POINTS[family] ?? 0} if the standard gives no points.`;
  return { type: 'number', minimum: 0, maximum: MOST_POINTS, description };
}

function limitSchema({ tells, default: value, unit }: LimitSpec): JsonSchema {
  const spelled = unitSpellings(unit)[0] ?? unit;
  return {
    type: ['number', 'string'],
    minimum: 0,
    maximum: MOST_LIMIT,
    default: value,
    description: `${sentence(tells)} In ${unit}; a number, or text with the unit such as "${value} ${spelled}".`,
  };
}

/** How the unit of a limit may be written behind its number; the first is the usual one. */
export function unitSpellings(unit: Unit): readonly string[] {
  if (unit === 'degrees') return ['degrees', 'degree', '°'];
  if (unit.startsWith('% of ')) return [unit, '%'];
  return [...new Set([unit, unitAfter(1, unit)])];
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
