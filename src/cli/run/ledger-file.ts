import { existsSync, readFileSync, realpathSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { parseHouseText, readHouseText } from '../../house/house-file.js';
import { withSchema } from '../../house/schema-line.js';
import type { Rule } from '../../kit/rule.js';
import { findStandard } from '../../standard/find-standard.js';
import { findLedger, LEDGER_NAME, type Ledger, type WaiverText } from '../../waivers/ledger.js';
import { changedText, type LedgerChange, STARTING_LEDGER } from '../../waivers/ledger-text.js';
import { LONGEST_LEDGER, parseLedger } from '../../waivers/read-ledger.js';
import { refuseExisting, writeChanged } from '../output/write-output.js';
import { schemaPlace } from '../schema-place.js';

/** Where the ledger is, or will be, and what is in it. */
export interface LedgerPlace {
  readonly path: string;
  readonly shown: string;
  readonly folder: string;
  readonly isThere: boolean;
  readonly text: string;
  /** The file as it was read, whatever its encoding marks; empty for a new one. */
  readonly raw: string;
}

/**
 * The ledger named, else the nearest one upward, else a new one beside the standard or here. `dist` is
 * the folder that the command was built into; null where it was not.
 */
export function openLedger(
  named: string | undefined,
  cwd: string,
  dist: string | null,
): LedgerPlace {
  const standard = findStandard(cwd);
  const home = standard === null ? cwd : dirname(standard);
  const given =
    named === undefined ? (findLedger(cwd) ?? join(home, LEDGER_NAME)) : resolve(cwd, named);
  const shown = named ?? relative(cwd, given);
  const folder = dirname(given);
  if (!existsSync(given)) {
    refuseExisting(given, shown, false);
    const text = withSchema(STARTING_LEDGER, 'waivers', schemaPlace(folder, 'waivers', dist));
    return { path: given, shown, folder, isThere: false, text, raw: '' };
  }
  const text = readHouseText(given, `the ledger ${shown}`, LONGEST_LEDGER);
  const raw = readFileSync(given, 'utf8');
  // What a link leads to is written, not the link.
  return { path: realpathSync(given), shown, folder, isThere: true, text, raw };
}

/**
 * Writes the ledger whole, with the permissions it had, or without `write` only works out what it would
 * be. Returns the line that each waiver has then.
 *
 * @param rules Every rule there is.
 */
export function writeLedger(
  place: LedgerPlace,
  ledger: Ledger,
  change: LedgerChange,
  write: boolean,
  rules: readonly Rule[],
): ReadonlyMap<WaiverText, number> {
  const { path, shown, folder, isThere, text, raw } = place;
  const written = changedText(parseHouseText(text, `the ledger ${shown}`), change);
  if (Buffer.byteLength(written) > LONGEST_LEDGER)
    throw new UsageError(
      `the ledger ${shown} would have more than ${LONGEST_LEDGER} bytes; use patterns to need fewer waivers`,
    );
  // What could not be read back must not be written.
  const { waivers } = parseLedger(written, shown, folder, rules);
  if (write) writeChanged(path, shown, `the ledger ${shown}`, isThere ? raw : null, written);
  const old = ledger.waivers.flatMap((waiver, index) => change.instead.get(index) ?? [waiver]);
  const all: WaiverText[] = [...old, ...change.added];
  return new Map(all.map((waiver, index) => [waiver, waivers[index]?.line ?? 1]));
}
