import type { JsonSchema } from '../house/schema-line.js';
import { LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { DAY_PATTERN } from './day.js';

/** Letters of a reason and of a name; both are shown whole in reports. */
const LONGEST_WHY = 1000;
const LONGEST_BY = 200;

/** @param bounds What else the schema asks of the text. */
function text(description: string, bounds: JsonSchema = {}): JsonSchema {
  return { type: 'string', ...bounds, description };
}

/** The JSON Schema (draft-07) of a ledger: editors complete and check with it, as the reader does. */
export function ledgerSchema(rules: readonly Rule[]): JsonSchema {
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'A trysquare ledger: the findings that a house accepts',
    type: 'object',
    additionalProperties: false,
    required: ['waivers'],
    properties: {
      $schema: text('Where an editor finds this schema.'),
      waivers: {
        type: 'array',
        description: 'The waivers, in any order.',
        items: {
          type: 'object',
          description: 'One waiver.',
          additionalProperties: false,
          required: ['rule', 'asset', 'why', 'by'],
          dependencies: {
            level: ['measured', 'unit'],
            measured: ['level', 'unit'],
            unit: ['level', 'measured'],
            also: ['measured'],
            vertices: ['measured'],
            insteadOf: ['measured'],
            places: ['measured'],
          },
          properties: {
            rule: {
              enum: rules.map((rule) => rule.id),
              description: 'The rule whose findings are accepted.',
            },
            asset: text(
              'The assets, relative to the folder of this file: a path, or a pattern with *, ?, [a-z], {a,b} within a name and ** for any folders. A backslash before such a character gives the character itself.',
              { minLength: 1 },
            ),
            joint: text(
              'Path of the joint (or of another thing that the finding is about), as the report writes it; * for any joint. If it is left out: every finding of the rule in the asset.',
            ),
            rig: text(
              'Name of the rig, where the asset has several. Without it, the waiver covers all of them.',
            ),
            aspect: text(
              'Which of its faults the rule reports, as `aspect` in the report. Without it, the waiver covers all of them.',
            ),
            level: {
              enum: [...LEVELS],
              description:
                'How serious it was when it was accepted. A finding that is more serious counts.',
            },
            measured: {
              type: ['number', 'null'],
              description:
                'The worst measure, in `unit`; null where nothing was measured. A finding counts when it is worse by more than a tenth or, for a count, by one.',
            },
            unit: text('Unit of what was measured.'),
            also: {
              type: 'object',
              additionalProperties: { type: 'number' },
              description: 'Other measures of it, by unit.',
            },
            vertices: {
              type: 'array',
              items: { type: 'integer', minimum: 0 },
              minItems: 2,
              maxItems: 2,
              description:
                'Where vertices are counted: how many are at fault, and how many the rig moves.',
            },
            insteadOf: {
              type: 'array',
              items: { type: 'string' },
              description:
                'Rules that gave way to it. What they found is accepted with it. What any other rule finds there counts.',
            },
            places: {
              type: 'object',
              additionalProperties: { type: ['number', 'null'] },
              minProperties: 1,
              description:
                'The places that it covers, each with its measure, or null where all were measured together. A place is the path of a joint, or a kind and a path (`mesh:cloak`). A finding at any other place counts. If it is left out: any place that `joint` names.',
            },
            why: text('Why it is accepted.', { pattern: '\\S', maxLength: LONGEST_WHY }),
            by: text('Who accepts it.', { pattern: '\\S', maxLength: LONGEST_BY }),
            until: text(
              'Last day on which it applies, YYYY-MM-DD in UTC. If it is left out: no end.',
              { pattern: DAY_PATTERN },
            ),
          },
        },
      },
    },
  };
}
