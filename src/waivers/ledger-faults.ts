import type { ErrorObject } from 'ajv';
import { brief, isRecord, pointerSegments } from '../house/house-file.js';
import { didYouMean } from '../house/nearest.js';
import { LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';

const KEYS = ['$schema', 'waivers'];
const WAIVER_KEYS =
  'rule asset rig joint aspect level measured unit also vertices insteadOf places why by until'.split(
    ' ',
  );

/** What the value of a key must be where it is not text. */
const TYPES: Readonly<Record<string, string>> = {
  measured: 'a number, or null',
  also: 'an object in braces: { "degrees": 90 }',
  insteadOf: 'a list of rules in brackets: [ "axis.up" ]',
  vertices: 'two whole numbers in brackets: [ short, of ]',
  places: 'an object in braces: { "body/neck": 12.3 }',
};

/** What each key that a waiver must have is for. */
const NEEDED: Readonly<Record<string, string>> = {
  rule: 'name the rule whose findings are accepted, such as "axis.up"',
  asset: 'name the assets, such as "puppets/heron.glb"',
  why: 'say why the finding is accepted',
  by: 'say who accepts it',
  waivers: 'give it a list, which may be empty: "waivers": []',
};

/** What is wrong and what to do, in words. */
export function wordsFor(error: ErrorObject, value: unknown, rules: readonly Rule[]): string {
  const path = pointerSegments(error.instancePath);
  const key = path.at(-1) ?? '';
  const inside = path.length === 0 ? 'the ledger' : 'the waiver';
  switch (error.keyword) {
    case 'additionalProperties': {
      const known = path.length === 0 ? KEYS : WAIVER_KEYS;
      const written = brief(String(error.params.additionalProperty));
      return `${inside} has no key "${written}".${didYouMean(written, known)} Known: ${known.join(', ')}.`;
    }
    case 'required': {
      const missing = String(error.params.missingProperty);
      return `${inside} has no "${missing}"; ${NEEDED[missing] ?? 'add it'}`;
    }
    case 'dependencies': {
      const missing = String(error.params.missingProperty);
      return `the waiver has "${String(error.params.property)}" but no "${missing}"; what was accepted needs "level", "measured" and "unit", as "trysquare waive" writes them`;
    }
    case 'enum':
      if (key === 'level') return `"level" must be one of ${LEVELS.join(', ')}`;
      return unknownRule(path.reduce<unknown>(step, value), rules);
    case 'minProperties':
    case 'minItems':
    case 'maxItems':
    case 'minimum':
      return `"${path[2] ?? key}" must be ${TYPES[path[2] ?? key] ?? 'larger'}`;
    case 'type': {
      const field = path[2] ?? '';
      if (path.length > 3 && (field === 'places' || field === 'also'))
        return `"${brief(key)}" in "${field}" must be a number${field === 'places' ? ', or null' : ''}`;
      if (TYPES[field] !== undefined) return `"${field}" must be ${TYPES[field]}`;
      if (error.params.type === 'array') return `"${key}" must be a list in brackets: [ ... ]`;
      if (error.params.type === 'object') return `${inside} must be an object in braces: { ... }`;
      return `"${key}" must be text in quotes`;
    }
    case 'pattern':
      if (key === 'until')
        return `"until" is "${brief(String(path.reduce<unknown>(step, value)))}"; write a day as YYYY-MM-DD`;
      return `"${key}" is blank; ${NEEDED[key] ?? 'fill it in'}`;
    case 'minLength':
      return `"${key}" is empty; ${NEEDED[key] ?? 'fill it in'}`;
    case 'maxLength':
      return `"${key}" is too long (limit ${String(error.params.limit)} letters)`;
    default:
      return `"${key}" ${error.message ?? 'does not fit the schema'}`;
  }
}

/** What is wrong with an unknown rule, and the nearest known one. */
export function unknownRule(rule: unknown, rules: readonly Rule[]): string {
  if (typeof rule !== 'string') return '"rule" must be the name of a rule in quotes';
  const written = brief(rule);
  const ids = rules.map((rule) => rule.id);
  const member = ids.find((id) => id.startsWith(`${written}.`));
  if (member !== undefined)
    return `"rule" takes a single rule; "${written}" is a family of them, such as ${member}`;
  return `there is no rule "${written}".${didYouMean(written, ids)} "trysquare rules" lists them all.`;
}

function step(value: unknown, key: string): unknown {
  return isRecord(value) ? value[key] : undefined;
}
