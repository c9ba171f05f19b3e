import type { JsonSchema } from '../house/schema-line.js';
import { LEVELS, type Unit } from '../kit/finding.js';
import type { LimitSpec, Rule } from '../kit/rule.js';
import { LONGEST_PATTERN, PLAIN_PATTERN, SIDE_SPELLINGS } from '../measure/names/name-pattern.js';

export const AXIS_NAMES = ['+X', '-X', '+Y', '-Y', '+Z', '-Z'] as const;
export const LENGTH_UNITS = ['m', 'cm', 'mm', 'in', 'ft'] as const;
export const REST_POSES = ['bind', 'posed'] as const;
export const FAILING_LEVELS = ['error', 'warning', 'note', 'never'] as const;

/**
 * Points of each family of rules where a standard gives none: 100 in all (common practice). Frames
 * are what later work stands on, and what costs most to change then; a file without a skin is no rig
 * to grade.
 */
export const DEFAULT_POINTS: Readonly<Record<string, number>> = {
  root: 10,
  rest: 15,
  axis: 25,
  scale: 10,
  chain: 10,
  place: 10,
  skin: 10,
  motion: 5,
  name: 5,
  file: 0,
};

/** No measure of a rig comes near it, so that more can only be a slip; JSON even has numbers without end (1e999). */
export const MOST_LIMIT = 1e9;

/** Points that a family may be given. */
const MOST_POINTS = 10_000;

/**
 * The JSON Schema of a standard file, made from the rules: editors complete and check with it, and
 * so does the reader.
 */
export function standardSchema(rules: readonly Rule[]): JsonSchema {
  const withLimits = rules.filter((rule) => Object.keys(rule.limits).length > 0);
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'A trysquare standard: what a house requires of its rigs',
    type: 'object',
    additionalProperties: false,
    properties: {
      $schema: { type: 'string', description: 'Where an editor finds this schema.' },
      name: { type: 'string', description: 'What people call the standard; shown in reports.' },
      conventions: {
        type: 'object',
        description:
          'Axes and units that every rig must use. What is left out is found from each rig.',
        additionalProperties: false,
        properties: {
          aim: {
            enum: AXIS_NAMES,
            description: 'Local axis that points along the bone to the next joint.',
          },
          up: {
            enum: AXIS_NAMES,
            description: 'Second axis of the frame; points up on a level midline.',
          },
          unit: {
            enum: LENGTH_UNITS,
            description: 'What one unit of length in an asset is. Default m.',
          },
        },
      },
      names: namesSchema(),
      rest: {
        enum: REST_POSES,
        description:
          'The pose that rigs are delivered in: bind (the pose they were bound in) or posed (another pose, on purpose). Default bind.',
      },
      failing: {
        enum: FAILING_LEVELS,
        description: 'Findings at this level or above make a rig unsound. Default error.',
      },
      levels: {
        type: 'object',
        description:
          'Level for all findings of a rule, such as axis.up, or of a family of rules, such as axis. none leaves them out. The level of a rule comes before that of its family.',
        additionalProperties: false,
        properties: Object.fromEntries([
          ...familiesOf(rules).map((family) => [
            family,
            { enum: [...LEVELS, 'none'], description: `All rules ${family}.*.` },
          ]),
          ...rules.map((rule) => [
            rule.id,
            { enum: [...LEVELS, 'none'], description: sentence(rule.title) },
          ]),
        ]),
      },
      limits: {
        type: 'object',
        description: 'Limits that differ from the default, by rule.',
        additionalProperties: false,
        properties: Object.fromEntries(withLimits.map((rule) => [rule.id, limitsSchema(rule)])),
      },
      points: pointsSchema(rules),
    },
  };
}

/** Digits that a number may be asked to have: more joints than that have no rig. */
const MOST_DIGITS = 6;

function namesSchema(): JsonSchema {
  return {
    type: 'object',
    description:
      'How joints are named. Sides are checked against it, and a mend uses it to rename joints with faulty names. Without it, a mend names joints as most joints of the rig are named.',
    additionalProperties: false,
    properties: {
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
    },
  };
}

function familiesOf(rules: readonly Rule[]): string[] {
  return [...new Set(rules.map((rule) => rule.family))];
}

function pointsSchema(rules: readonly Rule[]): JsonSchema {
  return {
    type: 'object',
    description:
      'Points of each family of rules when a class is graded, with one decimal at most. Families that are left out are worth 0.',
    additionalProperties: false,
    properties: Object.fromEntries(
      familiesOf(rules).map((family) => [
        family,
        {
          type: 'number',
          minimum: 0,
          maximum: MOST_POINTS,
          description: `Points for the rules ${family}.*: ${DEFAULT_POINTS[family] ?? 0} if the standard gives no points.`,
        },
      ]),
    ),
  };
}

function limitsSchema(rule: Rule): JsonSchema {
  return {
    type: 'object',
    description: sentence(rule.title),
    additionalProperties: false,
    properties: Object.fromEntries(
      Object.entries(rule.limits).map(([name, spec]) => [name, limitSchema(spec)]),
    ),
  };
}

function limitSchema(spec: LimitSpec): JsonSchema {
  const spelled = unitSpellings(spec.unit)[0] ?? spec.unit;
  return {
    type: ['number', 'string'],
    minimum: 0,
    maximum: MOST_LIMIT,
    default: spec.default,
    description: `${sentence(spec.tells)} In ${spec.unit}; a number, or text with the unit such as "${spec.default} ${spelled}".`,
  };
}

/** How the unit of a limit may be written behind its number; the first is the usual one. */
export function unitSpellings(unit: Unit): readonly string[] {
  switch (unit) {
    case 'degrees':
      return ['degrees', 'degree', '°'];
    case '% of size':
    case '% of segment':
    case '% of bone':
      return [unit, '%'];
    default:
      return [unit];
  }
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
