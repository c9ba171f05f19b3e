import type { JsonSchema } from '../house/schema-line.js';
import { LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { DAY_PATTERN } from './day.js';

/** Letters of a reason and of a name; both are shown whole in reports. */
const LONGEST_WHY = 1000;
const LONGEST_BY = 200;

/** The JSON Schema (draft-07) of a ledger: editors complete and check with it, as the reader does. */
export function ledgerSchema(rules: readonly Rule[]): JsonSchema {
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'A trysquare ledger: the findings that a house lets stand',
    type: 'object',
    additionalProperties: false,
    required: ['waivers'],
    properties: {
      $schema: { type: 'string', description: 'Where an editor finds this schema.' },
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
              description: 'The rule whose findings may stand.',
            },
            asset: {
              type: 'string',
              minLength: 1,
              description:
                'The assets, relative to the folder of this file: a path, or a pattern with *, ?, [a-z], {a,b} within a name and ** for any folders. A backslash before such a letter makes it stand for itself.',
            },
            joint: {
              type: 'string',
              description:
                'Path of the joint, or of what else the finding is about, as the report writes it; * for any joint. Left out, every finding of the rule in the asset.',
            },
            rig: {
              type: 'string',
              description: 'Name of the rig, where the asset has several. Left out, any of them.',
            },
            aspect: {
              type: 'string',
              description:
                'Which of its faults the rule tells, as `aspect` in the report has it. Left out, any.',
            },
            level: {
              enum: [...LEVELS],
              description: 'How serious it was when it was accepted: what is more serious fails.',
            },
            measured: {
              type: ['number', 'null'],
              description:
                'How bad the worst of it was, in `unit`; null where nothing was measured. What is worse by more than a tenth fails, or a count by one.',
            },
            unit: { type: 'string', description: 'Unit of what was measured.' },
            also: {
              type: 'object',
              additionalProperties: { type: 'number' },
              description: 'What else of it was measured, by unit.',
            },
            vertices: {
              type: 'array',
              items: { type: 'integer', minimum: 0 },
              minItems: 2,
              maxItems: 2,
              description:
                'Where vertices are counted: how many fell short, of how many that the rig moves.',
            },
            insteadOf: {
              type: 'array',
              items: { type: 'string' },
              description:
                'Rules that stepped back for it: what they found is accepted with it. What any other rule would find there fails.',
            },
            places: {
              type: 'object',
              additionalProperties: { type: ['number', 'null'] },
              minProperties: 1,
              description:
                'The places it covers, each with how bad it was there, null where all were measured as one: the path of a joint, or a kind and a path (`mesh:cloak`). Any other place fails. Left out, any place that `joint` says.',
            },
            why: {
              type: 'string',
              pattern: '\\S',
              maxLength: LONGEST_WHY,
              description: 'Why it may stand.',
            },
            by: {
              type: 'string',
              pattern: '\\S',
              maxLength: LONGEST_BY,
              description: 'Who says so.',
            },
            until: {
              type: 'string',
              pattern: DAY_PATTERN,
              description: 'Last day it holds, YYYY-MM-DD in UTC. Left out, it has no end.',
            },
          },
        },
      },
    },
  };
}
