import { dirname, resolve } from 'node:path';
import { Ajv } from 'ajv';
import { defaultSettings, limitsOf, type Settings } from '../check/settings.js';
import { brief, type HouseFile, parseHouseText, readHouseText } from '../house/house-file.js';
import type { Rule } from '../kit/rule.js';
import { ALL_AXES, type Axis, axisName } from '../measure/facts.js';
import {
  type NamePattern,
  PLAIN_PATTERN,
  readPattern,
  SIDE_SPELLINGS,
  whySideIsLost,
} from '../measure/names/name-pattern.js';
import { type ApprovedPattern, approvedPatterns } from './approved-patterns.js';
import { failingBelow } from './failing-below.js';
import { faultWords } from './fault-words.js';
import { type Grading, gradingFrom } from './grading.js';
import { withAbove } from './merge-standards.js';
import { contractFrom } from './read-contract.js';
import { limitsFrom } from './read-limits.js';
import type { StandardFile } from './standard-file.js';
import { standardSchema } from './standard-schema.js';
import { type SubmissionRules, submissionsFrom } from './submission-rules.js';

/** Bytes of a standard: every setting there is fits many times over. */
const LONGEST = 1 << 20;

type WrittenNames = Omit<NonNullable<StandardFile['names']>, 'checked'>;

/** What a standard says, with what it takes from those above it, and defaults filled in. */
export interface Standard {
  readonly settings: Settings;
  /** The points of each family of rules; null where it gives none. */
  readonly points: Readonly<Record<string, number>> | null;
  /** What faults cost when a class is graded. */
  readonly grading: Grading;
  /** What of a submission is marked. */
  readonly submissions: SubmissionRules;
  /** The model that a class rigs; null where none is named. */
  readonly model: ClassModelPath | null;
  /** Which assets have to fit which approved one: of the nearest standard first, the most specific pattern first. */
  readonly approved: readonly ApprovedPattern[];
  /** Patterns of what a search leaves out, relative to the folder of this file: its own alone. */
  readonly without: readonly string[];
  /** The path as the user knows it. */
  readonly shown: string;
  /** Where it lies: paths in it are relative to that. */
  readonly folder: string;
  /** What is written in it and in those above it, merged. */
  readonly written: StandardFile;
  /** What is written in it alone. */
  readonly own: StandardFile;
  /** The next one above that it takes from; null where there is none, or it takes nothing. */
  readonly above: Standard | null;
}

/** A model: where it is, and the standard that says so, as the user knows it. */
export interface ClassModelPath {
  readonly path: string;
  readonly standard: string;
}

/** Finds what a standard takes from; asked only when it takes something. */
type Above = () => Standard | null;

/**
 * Reads a standard: JSON with comments and trailing commas. Throws UsageError with the line and the
 * nearest valid spelling for anything it does not know.
 *
 * @param shown The path as the user knows it.
 * @param above What it takes from; by default it stands alone.
 */
export function readStandard(
  path: string,
  shown: string,
  rules: readonly Rule[],
  above: Above = () => null,
): Standard {
  const text = readHouseText(path, `the standard ${shown}`, LONGEST);
  return parseStandard(text, shown, rules, dirname(path), above);
}

/**
 * The same for a text already read.
 *
 * @param folder Where it lies: paths in it are relative to that.
 */
export function parseStandard(
  text: string,
  shown: string,
  rules: readonly Rule[],
  folder = process.cwd(),
  findAbove: Above = () => null,
): Standard {
  const file = parseHouseText(text, `the standard ${shown}`);
  const { value: own, failAt, failSchema } = file;
  const { schema, validate } = checkerFor(rules);
  if (!validate(own))
    return failSchema(validate.errors ?? [], (error) => faultWords(error, schema, own));
  const above = own.alone === true ? null : findAbove();
  const written = above === null ? own : withAbove(own, above.written);
  const failIn =
    above === null ? failAt : failingBelow(file, above, () => judgedFrom(own, rules, failAt));
  const { settings, points, grading, submissions } = judgedFrom(written, rules, failIn);
  const { without = [] } = own;
  without.forEach((pattern, at) => {
    if (/^([\\/]|[A-Za-z]:)/.test(pattern))
      failAt(
        ['without', at],
        `"without" has "${brief(pattern)}", an absolute path; write it relative to the folder of this file`,
      );
  });
  const approved = [
    ...approvedPatterns(own.approved ?? {}, folder, shown, failAt),
    ...(above?.approved ?? []),
  ];
  const { like } = own.submissions ?? {};
  const model =
    like === undefined ? (above?.model ?? null) : { path: resolve(folder, like), standard: shown };
  return {
    ...{ settings, points, grading, submissions, model },
    ...{ approved, without, shown, folder, written, own, above },
  };
}

/** The schema for some rules, compiled once: a run can read a standard for each of its folders. */
const checkers = new WeakMap<readonly Rule[], ReturnType<typeof makeChecker>>();

function checkerFor(rules: readonly Rule[]): ReturnType<typeof makeChecker> {
  const checker = checkers.get(rules) ?? makeChecker(rules);
  checkers.set(rules, checker);
  return checker;
}

function makeChecker(rules: readonly Rule[]) {
  const schema = standardSchema(rules);
  const ajv = new Ajv({ allErrors: true, allowUnionTypes: true, strict: false });
  return { schema, validate: ajv.compile<StandardFile>(schema) };
}

/** Refuses what the schema cannot. */
function refusePoints(
  points: Readonly<Record<string, number>>,
  { rules, wanted }: Settings,
  failAt: HouseFile['failAt'],
): void {
  // Grades have one decimal: a finer share could be earned in full and not be shown so.
  for (const [family, worth] of Object.entries(points))
    if (Math.abs(worth * 10 - Math.round(worth * 10)) > 1e-6)
      failAt(['points', family], `"points" > "${family}" has more than one decimal`);
  for (const [family, worth] of Object.entries(points)) {
    const isAsked = rules.some((rule) => rule.family === family && rule.isAsked(wanted));
    if (worth > 0 && !isAsked)
      failAt(
        ['points', family],
        `"points" > "${family}" is ${worth}, but the standard asks for nothing that ${family}.* checks; write a contract, or give it 0`,
      );
  }
  if (Object.values(points).every((worth) => worth === 0))
    failAt(['points'], '"points" gives no family a number above 0, so no points can be earned');
}

/** What assets are judged by. */
function judgedFrom(
  written: StandardFile,
  rules: readonly Rule[],
  failAt: HouseFile['failAt'],
): Pick<Standard, 'settings' | 'points' | 'grading' | 'submissions'> {
  const { points = null, grading = {}, handbook } = written;
  // Any other scheme could do more than open a page; a fragment is added for each rule.
  if (handbook !== undefined && !/^https?:\/\/[^#\s]+$/i.test(handbook))
    failAt(
      ['handbook'],
      `"handbook" is "${brief(handbook)}"; give the address of a page on the web without #, such as https://house.example/handbook.html`,
    );
  const settings = settingsFrom(written, rules, failAt);
  if (points !== null) refusePoints(points, settings, failAt);
  return {
    ...{ settings, points, grading: gradingFrom(grading, failAt, settings.levels) },
    submissions: submissionsFrom(written.submissions ?? {}, failAt),
  };
}

function settingsFrom(
  {
    conventions = {},
    names,
    rest,
    contract: written = {},
    failing,
    handbook,
    levels = {},
    limits = {},
  }: StandardFile,
  rules: readonly Rule[],
  failAt: HouseFile['failAt'],
): Settings {
  const defaults = defaultSettings(rules);
  const [aim, up] = [axisFrom(conventions.aim), axisFrom(conventions.up)];
  if (aim !== null && aim.index === up?.index)
    failAt(['conventions', 'up'], `up cannot lie on the same axis as aim (${conventions.aim})`);
  const pattern = names && namesFrom(names, (key, message) => failAt(['names', key], message));
  const unit = conventions.unit ?? 'm';
  const allNames = names?.checked === 'all';
  const contract = contractFrom(written, { assetUnit: unit, allNames }, failAt);
  // The level of a rule comes before that of its family.
  const levelOf = new Map(
    rules.flatMap(({ id, family }) => {
      const level = levels[id] ?? levels[family];
      return level === undefined ? [] : [[id, level] as const];
    }),
  );
  // What a house counts on is more than a note; any level that it gives goes before.
  if (written.joints?.influences !== undefined && !levelOf.has(BUDGET))
    levelOf.set(BUDGET, 'warning');
  const settings: Settings = {
    ...defaults,
    wanted: {
      aim,
      up,
      ...(conventions.mirror && { mirror: conventions.mirror }),
      ...(pattern && { names: pattern }),
      ...(rest === 'posed' && { rest }),
      ...(contract && { contract }),
    },
    // A house that gives a costly rule a level wants it judged.
    motion: rules.some(({ id, onRequest }) => onRequest && (levelOf.get(id) ?? 'none') !== 'none'),
    unit,
    failing: failing ?? defaults.failing,
    levels: levelOf,
    limits: limitsFrom(limits, written, rules, failAt),
    ...(handbook !== undefined && { handbook }),
  };
  for (const rule of rules) {
    const { warn, error } = limitsOf(settings, rule);
    if (warn !== undefined && error !== undefined && warn > error)
      failAt(
        ['limits', rule.id],
        `${rule.id} gives a warning from ${warn}, but an error already from ${error}; make the warning limit the smaller one`,
      );
  }
  return settings;
}

/**
 * The pattern that names are made by, defaults filled in.
 *
 * @param fail Throws a UsageError about one of the keys.
 */
export function namesFrom(
  { pattern: text = PLAIN_PATTERN, sides: written = SIDE_SPELLINGS[0], digits = 1 }: WrittenNames,
  fail: (key: keyof WrittenNames, message: string) => never,
): NamePattern {
  const parts = readPattern(text);
  if (typeof parts === 'string') return fail('pattern', `"names" > "pattern" ${parts}`);
  // The schema has let through none but those of two words.
  const [left = '', right = ''] = written.split('/');
  const pattern = { text, parts, sides: { left, right }, digits };
  const lost = whySideIsLost(pattern);
  return lost === null ? pattern : fail('pattern', `"names" > "pattern" ${lost}`);
}

/** The rule that tells of more influences than allowed, by default as a note. */
const BUDGET = 'skin.budget';

function axisFrom(name: string | undefined): Axis | null {
  return ALL_AXES.find((axis) => axisName(axis) === name) ?? null;
}
