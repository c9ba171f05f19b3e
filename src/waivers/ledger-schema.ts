import type { Rule } from '../kit/rule.js';
import type { JsonSchema } from '../standard/standard-schema.js';
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
