import { dirname } from 'node:path';
import { Ajv } from 'ajv';
import type { Rule } from '../kit/rule.js';
import { brief, type HouseFile, parseHouseText, readHouseText } from '../standard/house-file.js';
import { type AssetPattern, assetPattern } from './asset-pattern.js';
import { isDay } from './day.js';
import type { Ledger, Waiver, WaiverText } from './ledger.js';
import { wordsFor } from './ledger-faults.js';
import { ledgerSchema } from './ledger-schema.js';
import { waiverLines } from './ledger-text.js';
import { PatternFault } from './name-pattern.js';
import { slashes } from './slashes.js';

/** Bytes of a ledger: some fifty thousand waivers. */
export const LONGEST_LEDGER = 1 << 24;

/** A ledger file once it has been found to fit its schema. */
interface LedgerFile {
  readonly waivers: readonly (Omit<WaiverText, 'joint' | 'until'> & {
    readonly joint?: string;
    readonly until?: string;
  })[];
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
  const validate = new Ajv({ allErrors: true, strict: false }).compile<LedgerFile>(schema);
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
    const { rule, asset, joint = null, why, by, until = null } = written;
    const pattern = compile(file, asset, base, at);
    return { line: lines[at] ?? 1, pattern, rule, asset, joint, why, by, until };
  });
  return { path: shown, waivers };
}

function compile(file: HouseFile, asset: string, folder: string, at: number): AssetPattern {
  try {
    return assetPattern(asset, folder);
  } catch (error) {
    if (!(error instanceof PatternFault)) throw error;
    return file.failAt(['waivers', at, 'asset'], `the pattern "${brief(asset)}" ${error.message}`);
  }
}
