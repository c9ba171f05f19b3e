import { UsageError } from '../../asset/errors.js';
import type { Rule } from '../../kit/rule.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { waiversByAsset } from '../../waivers/apply-ledger.js';
import { findLedger } from '../../waivers/ledger.js';
import { renamedLedger } from '../../waivers/move.js';
import { parseLedger } from '../../waivers/read-ledger.js';
import { distOf, type Io } from '../io.js';
import { openLedger, writeLedger } from '../run/ledger-file.js';
import type { LedgerFlags } from '../run/ledger-use.js';

interface Mended {
  /** The asset that was mended, as given. */
  readonly file: string;
  /** The file that was written, as given; null where the asset was mended in place. */
  readonly out: string | null;
  /** The file of old and new paths beside it, as given; null where nothing was renamed. */
  readonly names: string | null;
}

/**
 * Takes the ledger along with a mend. Mended in place, the waivers of the asset get the new names of
 * joints and rigs, and waive what they waived; written to another file, they stay, and the user learns
 * which command moves them. Returns what was done, as the end of a sentence; empty where no waiver is
 * concerned.
 */
export function takeLedgerAlong(
  { file, out, names }: Mended,
  { renames }: Pick<MendResult, 'renames'>,
  { ledger: named }: LedgerFlags,
  rules: readonly Rule[],
  io: Io,
): string {
  if (named === false || (typeof named !== 'string' && findLedger(io.cwd) === null)) return '';
  const place = openLedger(typeof named === 'string' ? named : undefined, io.cwd, distOf(io));
  const ledger = parseLedger(place.text, place.shown, place.folder, rules);
  const ledgerWords = visible(place.shown);
  if (out !== null) {
    const waivers = waiversByAsset(ledger.waivers, io.cwd)(file);
    const count = waivers.filter(({ pattern }) => pattern.only).length;
    if (count === 0) return '';
    const also = names === null ? '' : ` --names ${quoted(names)}`;
    return `; ${counted(count, 'waiver')} of ${ledgerWords} ${count === 1 ? 'is' : 'are'} for ${visible(file)}; to move them along, run trysquare waive --move ${quoted(file)} ${quoted(out)}${also}`;
  }
  const folders = { cwd: io.cwd, ledger: place.folder };
  const { change, renamed } = renamedLedger(ledger, file, renames, folders);
  if (renamed === 0) return '';
  try {
    writeLedger(place, ledger, change, true, rules);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    // The asset is mended by now: the message has to say what is left to do.
    throw new UsageError(
      `${visible(file)} is mended, but its waivers still have the old names: ${error.message}; then run trysquare waive --move ${quoted(file)} ${quoted(file)} --names ${quoted(names ?? '')}`,
    );
  }
  return `; ${counted(renamed, 'waiver')} of ${ledgerWords} ${renamed === 1 ? 'has' : 'have'} the new names`;
}

/** As a shell takes it for one word. */
function quoted(path: string): string {
  const shown = visible(path);
  return /^[\w./@%+=:,-]+$/.test(shown) ? shown : `'${shown.replaceAll("'", "'\\''")}'`;
}
