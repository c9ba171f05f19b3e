import { dirname } from 'node:path';
import { Ajv } from 'ajv';
import { brief, type HouseFile, parseHouseText, readHouseText } from '../house/house-file.js';
import type { Level } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { slashes } from '../report/slashes.js';
import { type AssetPattern, assetPattern } from './asset-pattern.js';
import { isDay } from './day.js';
import type { Accepted, Ledger, Waiver, WaiverText } from './ledger.js';
import { wordsFor } from './ledger-faults.js';
import { ledgerSchema } from './ledger-schema.js';
import { waiverLines } from './ledger-text.js';
import { PatternFault } from './name-pattern.js';

/** Bytes of a ledger: some thirty thousand waivers with the places they cover. */
export const LONGEST_LEDGER = 1 << 24;

/** A waiver once it has been found to fit the schema. */
interface WrittenWaiver {
  readonly rule: string;
  readonly asset: string;
  readonly rig?: string;
  readonly joint?: string;
  readonly aspect?: string;
  readonly level?: Level;
  readonly measured?: number | null;
  readonly unit?: string;
  readonly also?: Readonly<Record<string, number>>;
  readonly vertices?: readonly [short: number, of: number];
  readonly insteadOf?: readonly string[];
  readonly places?: Readonly<Record<string, number | null>>;
  readonly why: string;
  readonly by: string;
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
  const schema = ledgerSchema(rules);
  const validate = new Ajv({ allErrors: true, strict: false }).compile<{
    waivers: readonly WrittenWaiver[];
  }>(schema);
  const { value } = file;
  if (!validate(value))
    return file.failSchema(validate.errors ?? [], (error) => wordsFor(error, value, rules));
  const base = slashes(folder);
  const lines = waiverLines(file);
  const waivers = value.waivers.map((written, at): Waiver => {
    if (written.until !== undefined && !isDay(written.until))
      return file.failAt(
        ['waivers', at, 'until'],
        `"until" is "${written.until}", which no calendar has; write a day as YYYY-MM-DD`,
      );
    if (written.joint !== undefined && written.places !== undefined)
      return file.failAt(
        ['waivers', at, 'joint'],
        'the waiver has both "joint" and "places"; take "joint" out, and list it in "places"',
      );
    const pattern = compile(file, written.asset, base, at);
    return { line: lines[at] ?? 1, pattern, ...waiverText(written) };
  });
  return { path: shown, waivers };
}

function waiverText(written: WrittenWaiver): WaiverText {
  const { rule, asset, rig, joint = null, aspect, why, by, until = null } = written;
  const accepted = acceptedOf(written);
  return {
    rule,
    asset,
    ...(rig !== undefined && { rig }),
    joint,
    ...(aspect !== undefined && { aspect }),
    ...(accepted !== null && { accepted }),
    why,
    by,
    until,
  };
}

function acceptedOf(written: WrittenWaiver): Accepted | null {
  const { level, measured, unit, also, vertices, insteadOf, places } = written;
  if (level === undefined || measured === undefined || unit === undefined) return null;
  return {
    level,
    measured,
    unit,
    ...(also !== undefined && { also: new Map(Object.entries(also)) }),
    ...(vertices !== undefined && { vertices: { short: vertices[0], of: vertices[1] } }),
    ...(insteadOf !== undefined && { insteadOf }),
    places: places === undefined ? null : new Map(Object.entries(places)),
  };
}

function compile(file: HouseFile, asset: string, folder: string, at: number): AssetPattern {
  try {
    return assetPattern(asset, folder);
  } catch (error) {
    if (!(error instanceof PatternFault)) throw error;
    return file.failAt(['waivers', at, 'asset'], `the pattern "${brief(asset)}" ${error.message}`);
  }
}
