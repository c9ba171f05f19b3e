import type { ErrorObject } from 'ajv';
import { brief, isRecord, pointerSegments } from '../house/house-file.js';
import { didYouMean } from '../house/nearest.js';
import type { JsonSchema } from '../house/schema-line.js';

/** What is wrong at one place of a standard, in words for whoever wrote it. */
export function faultWords(
  { keyword, params, instancePath, message }: ErrorObject,
  schema: JsonSchema,
  value: unknown,
): string {
  const path = pointerSegments(instancePath);
  const inside = path.length === 0 ? 'the standard' : `"${path.join('" > "')}"`;
  switch (keyword) {
    case 'additionalProperties':
      return unknownKeyWords(String(params.additionalProperty), path, inside, schema);
    case 'enum': {
      const allowed = [params.allowedValues].flat().map(String);
      const found = path.reduce<unknown>((at, key) => (isRecord(at) ? at[key] : undefined), value);
      // What the parser makes of braces and brackets may have no words of its own.
      const written = brief(typeof found === 'object' ? JSON.stringify(found) : String(found));
      return `${inside} is "${written}".${didYouMean(written, allowed)} Known: ${allowed.join(', ')}.`;
    }
    case 'minimum':
      return `${inside} must not be below ${params.limit}`;
    case 'maximum':
      return `${inside} must not be above ${params.limit}`;
    case 'maxLength':
      return `${inside} is longer than ${params.limit} letters; write it shorter`;
    case 'exclusiveMinimum':
      return `${inside} must be above ${params.limit}`;
    case 'minLength':
      return `${inside} is empty; write a name, or remove it`;
    case 'maxItems':
      return `${inside} has more than ${params.limit} entries; ${path[0] === 'grading' ? 'remove some' : 'use patterns with * to write fewer'}`;
    case 'required':
      return `${inside} lacks "${params.missingProperty}"; add it`;
    default:
      if (keyword === 'type' && params.type === 'object')
        return `${inside} must be an object in braces: { ... }`;
      if (keyword === 'type' && params.type === 'array')
        return `${inside} must be a list in brackets: [ ... ]`;
      if (keyword === 'type') {
        // Several types come as a list.
        const nouns = [params.type].flat().map((type) => NOUNS[String(type)] ?? String(type));
        return `${inside} must be ${nouns.join(' or ')}`;
      }
      return `${inside} ${message ?? 'does not fit the schema'}`;
  }
}

const NOUNS: Readonly<Record<string, string>> = {
  string: 'text in quotes',
  number: 'a number',
  integer: 'a whole number',
  boolean: 'true or false',
};

/** Spellings that a message lists; more of them are looked up faster elsewhere. */
const LISTED = 12;

/** What the keys of each part of a standard are. */
const KINDS: Readonly<Record<string, string>> = {
  levels: 'rule or family',
  limits: 'rule',
  most: 'rule',
  counts: 'rule',
  countsFrom: 'rule',
  also: 'rule',
  points: 'family of rules',
};

/** Parts of what faults cost whose keys are single rules. */
const RULES_ALONE: readonly string[] = ['most', 'counts', 'countsFrom', 'also'];

function unknownKeyWords(
  key: string,
  path: readonly string[],
  inside: string,
  schema: JsonSchema,
): string {
  const part = path.at(path[0] === 'grading' ? -1 : 0) ?? '';
  const isLimit = part === 'limits' && path.length > 1;
  if (RULES_ALONE.includes(part) || (part === 'limits' && !isLimit)) {
    const all = keysAt(schema, ['levels']);
    const member = all.find((id) => id.startsWith(`${key}.`));
    if (member !== undefined)
      return `"${part}" takes single rules; "${key}" is a family of rules. Name a rule of it, such as ${member}`;
    if (all.includes(key)) return `${key} has no limit that can be set`;
  }
  const known = keysAt(schema, path);
  const listed = known.length <= LISTED ? ` Known: ${known.join(', ')}.` : '';
  const kind = isLimit ? 'limit' : (KINDS[part] ?? 'key');
  return `${inside} has no ${kind} "${key}".${didYouMean(key, known)}${listed}${ownHint(part, key, known)}`;
}

/** What to do where the name may be of a rule of the house's own, which has a family of its own. */
function ownHint(part: string, key: string, known: readonly string[]): string {
  const [family = ''] = key.split('.');
  const isOwn = family !== key && !known.some((id) => id.startsWith(`${family}.`));
  return isOwn && ['levels', 'limits', ...RULES_ALONE].includes(part)
    ? ' A rule of your own is known with --with FILE alone.'
    : '';
}

function keysAt(schema: JsonSchema, path: readonly string[]): string[] {
  const propertiesOf = (part: unknown): Readonly<Record<string, unknown>> =>
    isRecord(part) && isRecord(part.properties) ? part.properties : {};
  return Object.keys(
    propertiesOf(
      path.reduce<unknown>(
        (at, key) => (isRecord(at) && at.items) || propertiesOf(at)[key],
        schema,
      ),
    ),
  );
}
