import { Ajv, type ErrorObject } from 'ajv';
import { pointerSegments } from '../../house/house-file.js';
import { LEVELS, type Unit } from '../../kit/finding.js';
import { levelsOfRule, type Rule } from '../../kit/rule.js';

/** `family.name`, in small letters, as a standard, a ledger and `--only` write it. */
const ID = '^[a-z][a-z0-9-]*\\.[a-z0-9][a-z0-9-]*$';

/** Letters of a text of a rule; the longest of our own has half as many. */
const LONGEST = 2000;

/** Every unit there is; a type that has another does not compile. */
const UNITS: Readonly<Record<Unit, true>> = {
  '%': true,
  '% of size': true,
  '% of segment': true,
  '% of bone': true,
  '% of frame': true,
  m: true,
  cm: true,
  mm: true,
  in: true,
  ft: true,
  joints: true,
  nodes: true,
  vertices: true,
  matrices: true,
  skins: true,
  clips: true,
  channels: true,
  degrees: true,
  times: true,
  weight: true,
  steps: true,
  names: true,
};

const TEXT = { type: 'string', minLength: 1, maxLength: LONGEST };

/** JSON Schema (draft-07) of what is no code in a rule that `rule` or `assetRule` has made. */
const SCHEMA = {
  type: 'object',
  required: [
    ...['id', 'level', 'title', 'why', 'formula', 'remedy', 'source', 'limits', 'family', 'scope'],
    ...['onRequest', 'onApproved', 'yieldsTo'],
  ],
  properties: {
    id: { type: 'string', pattern: ID, maxLength: 80 },
    level: { enum: LEVELS },
    milder: { enum: LEVELS },
    title: TEXT,
    why: TEXT,
    formula: TEXT,
    remedy: TEXT,
    source: TEXT,
    limits: {
      type: 'object',
      propertyNames: { pattern: '^[A-Za-z][A-Za-z0-9]*$' },
      additionalProperties: {
        type: 'object',
        required: ['default', 'unit', 'tells'],
        properties: {
          default: { type: 'number', minimum: 0 },
          unit: { enum: Object.keys(UNITS) },
          tells: TEXT,
        },
      },
    },
    family: TEXT,
    scope: { enum: ['rig', 'asset'] },
    onRequest: { type: 'boolean' },
    onApproved: { type: 'boolean' },
    yieldsTo: {
      type: 'array',
      items: {
        type: 'object',
        required: ['to', 'on'],
        properties: {
          to: { type: 'array', items: { type: 'string' } },
          on: { enum: ['rig', 'joints', 'each', 'above'] },
        },
      },
    },
  },
};

const CODE = ['check', 'checkAsset', 'gather', 'say', 'consequence'];

/** What `rule` adds to what it is given. */
const ADDED = ['family', 'scope', 'onRequest', 'onApproved', 'yieldsTo'];

let validate: ReturnType<Ajv['compile']> | null = null;

/** What is wrong with a value that means to be a rule, as a clause about it; null for a rule. */
export function whyNoRule(value: Readonly<Record<string, unknown>>): string | null {
  const own = ['check', 'say'].find((key) => typeof value[key] !== 'function');
  if (own !== undefined) return `"${own}" must be a function`;
  const isBare = [...ADDED, ...CODE].some((key) => !(key in value));
  if (isBare) return 'it is not made with rule(...) or assetRule(...) of trysquare; wrap it in one';
  validate ??= new Ajv({ strict: false }).compile(SCHEMA);
  if (!validate(value)) return wordsOf(validate.errors?.[0]);
  const code = CODE.find((key) => typeof value[key] !== 'function');
  if (code !== undefined) return `"${code}" must be a function`;
  // All of its parts have been looked at.
  if (levelsOfRule(value as unknown as Rule).length === 0)
    return '"milder" must not be more serious than "level"';
  return null;
}

function wordsOf(error: ErrorObject | undefined): string {
  if (error === undefined) return 'it has not the form of a rule';
  const { keyword, params, instancePath } = error;
  const path = pointerSegments(instancePath);
  const what = path.length === 0 ? 'it' : `"${path.join('" > "')}"`;
  switch (keyword) {
    case 'required':
      return `${what === 'it' ? 'it' : what} has no "${params.missingProperty}"`;
    case 'enum':
      return `${what} must be one of: ${[params.allowedValues].flat().join(', ')}`;
    case 'type':
      return `${what} must be ${NOUNS[String(params.type)] ?? params.type}`;
    case 'minLength':
      return `${what} is empty`;
    case 'maxLength':
      return `${what} is longer than ${params.limit} letters; write it shorter`;
    case 'minimum':
      return `${what} must not be below ${params.limit}`;
    case 'pattern':
      return path.at(-1) === 'id'
        ? `${what} must be a family and a name in small letters, such as prop.wheel`
        : `${what} has a limit whose name is not letters and digits`;
    default:
      return `${what} is wrong: ${error.message ?? keyword}`;
  }
}

const NOUNS: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object in braces',
};
