import { dirname } from 'node:path';
import { Ajv, type ValidateFunction } from 'ajv';
import { assetPatternOr } from '../house/asset-pattern.js';
import { brief, parseHouseText, readHouseText } from '../house/house-file.js';
import type { Rule } from '../kit/rule.js';
import { slashes } from '../report/slashes.js';
import { isDay } from './day.js';
import type { Accepted, Ledger, Waiver, WaiverText } from './ledger.js';
import { wordsFor } from './ledger-faults.js';
import { ledgerSchema } from './ledger-schema.js';
import { waiverLines } from './ledger-text.js';

/** Bytes of a ledger: some thirty thousand waivers with the places they cover. */
export const LONGEST_LEDGER = 1 << 24;

/** A waiver once it has been found to fit the schema. */
interface WrittenWaiver
  extends Omit<WaiverText, 'joint' | 'until' | 'accepted'>,
    Partial<Pick<Accepted, 'level' | 'measured' | 'unit' | 'insteadOf'>> {
  readonly joint?: string;
  readonly also?: Readonly<Record<string, number>>;
  readonly vertices?: readonly [short: number, of: number];
  readonly places?: Readonly<Record<string, number | null>>;
  readonly until?: string;
}

/**
 * Reads a ledger: JSON with comments and trailing commas. Throws UsageError with the line and the
 * nearest valid spelling for anything it does not know.
 *
 * @param path Absolute path; the patterns of assets are relative to its folder.
 * @param shown The path as the user knows it.
 * @param rules Every rule there is, whichever of them a run judges.
 */
export function readLedger(path: string, shown: string, rules: readonly Rule[]): Ledger {
  const text = readHouseText(path, `the ledger ${shown}`, LONGEST_LEDGER);
  return parseLedger(text, shown, dirname(path), rules);
}

/** The same for a text already read. */
export function parseLedger(
  text: string,
  shown: string,
  folder: string,
  rules: readonly Rule[],
): Ledger {
  const file = parseHouseText(text, `the ledger ${shown}`);
  const validate = checkerFor(rules);
  const { value } = file;
  if (!validate(value))
    return file.failSchema(validate.errors ?? [], (error) => wordsFor(error, value, rules));
  const base = slashes(folder);
  const lines = waiverLines(file);
  const waivers = value.waivers.map((written, index): Waiver => {
    if (written.until !== undefined && !isDay(written.until))
      return file.failAt(
        ['waivers', index, 'until'],
        `"until" is "${written.until}", which no calendar has; write a day as YYYY-MM-DD`,
      );
    if (written.joint !== undefined && written.places !== undefined)
      return file.failAt(
        ['waivers', index, 'joint'],
        'the waiver has both "joint" and "places"; take "joint" out, and list it in "places"',
      );
    const pattern = assetPatternOr(written.asset, base, (fault) =>
      file.failAt(['waivers', index, 'asset'], `the pattern "${brief(written.asset)}" ${fault}`),
    );
    return { line: lines[index] ?? 1, pattern, ...waiverText(written) };
  });
  return { path: shown, waivers };
}

interface WrittenLedger {
  readonly waivers: readonly WrittenWaiver[];
}

type Checker = ValidateFunction<WrittenLedger>;

/** The schema for some rules, compiled once: what keeps a ledger up reads it again as it will stand. */
const checkers = new WeakMap<readonly Rule[], Checker>();

function checkerFor(rules: readonly Rule[]): Checker {
  const known = checkers.get(rules);
  if (known !== undefined) return known;
  const ajv = new Ajv({ allErrors: true, strict: false });
  const checker = ajv.compile<WrittenLedger>(ledgerSchema(rules));
  checkers.set(rules, checker);
  return checker;
}

function waiverText(written: WrittenWaiver): WaiverText {
  const { level, measured, unit, also, vertices, insteadOf, places, ...rest } = written;
  const waiver = { joint: null, until: null, ...rest };
  // The schema has none of the others without these three.
  if (level === undefined || measured === undefined || unit === undefined) return waiver;
  const accepted: Accepted = {
    level,
    measured,
    unit,
    ...(also !== undefined && { also: new Map(Object.entries(also)) }),
    ...(vertices !== undefined && { vertices: { short: vertices[0], of: vertices[1] } }),
    ...(insteadOf !== undefined && { insteadOf }),
    places: places === undefined ? null : new Map(Object.entries(places)),
  };
  return { ...waiver, accepted };
}
