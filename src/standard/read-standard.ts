import { Ajv, type ErrorObject } from 'ajv';
import { defaultSettings, type Settings } from '../check/settings.js';
import {
  brief,
  type HouseFile,
  isRecord,
  parseHouseText,
  pointerSegments,
  readHouseText,
} from '../house/house-file.js';
import { didYouMean } from '../house/nearest.js';
import type { JsonSchema } from '../house/schema-line.js';
import type { Level, Unit } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import type { Axis } from '../measure/facts.js';
import type { NamePattern } from '../measure/names/name-pattern.js';
import { namesFrom, type WrittenNames } from './name-settings.js';
import { AXIS_NAMES, MOST_LIMIT, standardSchema, unitSpellings } from './standard-schema.js';

/** Bytes of a standard: every setting there is fits many times over. */
const LONGEST = 1 << 20;

/** A standard file once it has been found to fit its schema. */
interface StandardFile {
  readonly name?: string;
  readonly conventions?: { readonly aim?: string; readonly up?: string; readonly unit?: string };
  readonly names?: WrittenNames;
  readonly rest?: 'bind' | 'posed';
  readonly failing?: Level | 'never';
  readonly levels?: Readonly<Record<string, Level | 'none'>>;
  readonly limits?: Readonly<Record<string, Readonly<Record<string, number | string>>>>;
  readonly points?: Readonly<Record<string, number>>;
}

/**
 * Reads a standard: JSON with comments and trailing commas. Throws UsageError with the line and the
 * nearest valid spelling for anything it does not know.
 *
 * @param shown The path as the user knows it.
 */
export function readStandard(path: string, shown: string, rules: readonly Rule[]): Settings {
  const text = readHouseText(path, `the standard ${shown}`, LONGEST);
  return parseStandard(text, shown, rules);
}

/** The same for a text already read. */
export function parseStandard(text: string, shown: string, rules: readonly Rule[]): Settings {
  const { file, failAt } = parseFile(text, shown, rules);
  return settingsFrom(file, rules, failAt);
}

/** The points that a standard gives to families of rules; null where it gives none. */
export function readPoints(
  path: string,
  shown: string,
  rules: readonly Rule[],
): Readonly<Record<string, number>> | null {
  const text = readHouseText(path, `the standard ${shown}`, LONGEST);
  return parsePoints(text, shown, rules);
}

/** The same for a text already read. */
export function parsePoints(
  text: string,
  shown: string,
  rules: readonly Rule[],
): Readonly<Record<string, number>> | null {
  return parseFile(text, shown, rules).file.points ?? null;
}

function parseFile(
  text: string,
  shown: string,
  rules: readonly Rule[],
): { readonly file: StandardFile; readonly failAt: HouseFile['failAt'] } {
  const { value, failAt, failSchema } = parseHouseText(text, `the standard ${shown}`);
  const schema = standardSchema(rules);
  const validate = new Ajv({
    allErrors: true,
    allowUnionTypes: true,
    strict: false,
  }).compile<StandardFile>(schema);
  if (!validate(value))
    return failSchema(validate.errors ?? [], (error) => messageOf(error, schema, value));
  refusePoints(value.points, failAt);
  return { file: value, failAt };
}

/** What the schema cannot say of points. */
function refusePoints(points: StandardFile['points'], fail: HouseFile['failAt']): void {
  if (points === undefined) return;
  for (const [family, worth] of Object.entries(points)) {
    // Grades are told to one decimal: a finer share could be earned in full and not be shown so.
    if (Math.abs(worth * 10 - Math.round(worth * 10)) > 1e-6)
      fail(['points', family], `"points" > "${family}" has more than one decimal`);
  }
  if (Object.values(points).every((worth) => worth === 0))
    fail(['points'], '"points" gives no family a number above 0, so no points can be earned');
}

function messageOf(error: ErrorObject, schema: JsonSchema, value: unknown): string {
  const path = pointerSegments(error.instancePath);
  const inside = path.length === 0 ? 'the standard' : `"${path.join('" > "')}"`;
  if (error.keyword === 'additionalProperties') {
    const key = String(error.params.additionalProperty);
    const known = keysAt(schema, path);
    const all = keysAt(schema, ['levels']);
    const member = all.find((id) => id.startsWith(`${key}.`));
    if (path[0] === 'limits' && path.length === 1 && member !== undefined)
      return `"limits" takes single rules; "${key}" is a family of rules. Name a rule of it, such as ${member}`;
    if (path[0] === 'limits' && path.length === 1 && all.includes(key))
      return `${key} has no limit that can be set`;
    const kind =
      path[0] === 'levels'
        ? 'rule or family'
        : path[0] === 'limits' && path.length === 1
          ? 'rule'
          : path[0] === 'limits'
            ? 'limit'
            : path[0] === 'points'
              ? 'family of rules'
              : 'key';
    return `${inside} has no ${kind} "${key}".${didYouMean(key, known)}${known.length <= LISTED ? ` Known: ${known.join(', ')}.` : ''}`;
  }
  if (error.keyword === 'enum') {
    const allowed = Array.isArray(error.params.allowedValues)
      ? error.params.allowedValues.map(String)
      : [];
    const found = path.reduce<unknown>((at, key) => (isRecord(at) ? at[key] : undefined), value);
    // What the parser makes of braces and brackets may have no words of its own.
    const written = typeof found === 'object' ? JSON.stringify(found) : String(found);
    return `${inside} is "${brief(written)}".${didYouMean(brief(written), allowed)} Known: ${allowed.join(', ')}.`;
  }
  if (error.keyword === 'type' && error.params.type === 'object')
    return `${inside} must be an object in braces: { ... }`;
  if (error.keyword === 'minimum')
    return `${inside} must not be below ${String(error.params.limit)}`;
  if (error.keyword === 'maximum')
    return `${inside} must not be above ${String(error.params.limit)}`;
  if (error.keyword === 'maxLength')
    return `${inside} is longer than ${String(error.params.limit)} letters; write it shorter`;
  return `${inside} ${error.message ?? 'does not fit the schema'}`;
}

/** Spellings that a message lists; more of them are looked up faster elsewhere. */
const LISTED = 12;

function keysAt(schema: JsonSchema, path: readonly string[]): string[] {
  let at: unknown = schema;
  for (const key of path)
    at = isRecord(at) && isRecord(at.properties) ? at.properties[key] : undefined;
  return isRecord(at) && isRecord(at.properties) ? Object.keys(at.properties) : [];
}

function settingsFrom(
  file: StandardFile,
  rules: readonly Rule[],
  fail: (path: string[], message: string) => never,
): Settings {
  const defaults = defaultSettings(rules);
  const aim = axisFrom(file.conventions?.aim);
  const up = axisFrom(file.conventions?.up);
  if (aim !== null && up !== null && aim.index === up.index) {
    fail(['conventions', 'up'], `up cannot lie on the same axis as aim (${file.conventions?.aim})`);
  }
  const names: NamePattern | undefined =
    file.names && namesFrom(file.names, (key, message) => fail(['names', key], message));
  const limits = new Map<string, Record<string, number>>();
  for (const [id, values] of Object.entries(file.limits ?? {})) {
    const specs = rules.find((rule) => rule.id === id)?.limits ?? {};
    limits.set(
      id,
      Object.fromEntries(
        Object.entries(values).map(([name, written]) => [
          name,
          limitFrom(written, specs[name]?.unit ?? 'times', (message) =>
            fail(['limits', id, name], message),
          ),
        ]),
      ),
    );
  }
  const levels = levelsFrom(file.levels ?? {}, rules);
  for (const rule of rules) {
    const { warn, error } = { ...defaultsOf(rule), ...limits.get(rule.id) };
    if (warn !== undefined && error !== undefined && warn > error) {
      fail(
        ['limits', rule.id],
        `${rule.id} gives a warning from ${warn}, but an error already from ${error}; make the warning limit the smaller one`,
      );
    }
  }
  return {
    ...defaults,
    wanted: {
      aim,
      up,
      ...(names === undefined ? {} : { names }),
      ...(file.rest === 'posed' ? { rest: file.rest } : {}),
    },
    // A house that gives a costly rule a level wants it judged.
    motion: rules.some((rule) => rule.onRequest && (levels.get(rule.id) ?? 'none') !== 'none'),
    unit: file.conventions?.unit ?? defaults.unit,
    failing: file.failing ?? defaults.failing,
    levels,
    limits,
  };
}

/** Levels by rule: that of the rule itself, else that of its family. */
function levelsFrom(
  written: NonNullable<StandardFile['levels']>,
  rules: readonly Rule[],
): Settings['levels'] {
  return new Map(
    rules.flatMap(({ id, family }) => {
      const level = written[id] ?? written[family];
      return level === undefined ? [] : [[id, level] as const];
    }),
  );
}

function defaultsOf(rule: Rule): Record<string, number> {
  return Object.fromEntries(
    Object.entries(rule.limits).map(([name, spec]) => [name, spec.default]),
  );
}

function axisFrom(name: string | undefined): Axis | null {
  if (name === undefined || !AXIS_NAMES.some((axis) => axis === name)) return null;
  const index = name[1] === 'X' ? 0 : name[1] === 'Y' ? 1 : 2;
  return { index, sign: name[0] === '-' ? -1 : 1 };
}

function limitFrom(written: number | string, unit: Unit, fail: (message: string) => never): number {
  if (typeof written === 'number') return written;
  const match = /^(\d+(?:\.\d+)?(?:e[+-]?\d+)?) *(\D{0,40})$/i.exec(written.trim());
  if (/^\s*\d+,\d/.test(written)) return fail(`"${brief(written)}": use a point for decimals`);
  if (match === null)
    return fail(`"${brief(written)}" is not a number with a unit, such as "5 ${unit}"`);
  const [, number = '0', given = ''] = match;
  const spellings = unitSpellings(unit);
  if (given !== '' && !spellings.includes(given)) {
    return fail(
      `the unit "${given}" is unknown here.${didYouMean(given, spellings)} Known: ${spellings.join(', ')}.`,
    );
  }
  const limit = Number(number);
  return limit <= MOST_LIMIT
    ? limit
    : fail(`"${brief(written)}" is above ${MOST_LIMIT} ${unit}; write a smaller number`);
}
