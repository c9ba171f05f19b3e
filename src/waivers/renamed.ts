import { resolve } from 'node:path';
import { waiversByAsset } from './apply-ledger.js';
import { changeOf, isForOne, type Placed } from './asset-view.js';
import { type Folders, patternOf } from './folders.js';
import type { Ledger } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import { type RigRenames, waiverRenamer } from './waiver-renames.js';

/**
 * A ledger whose waivers for an asset know its joints by other names, what they accepted being as it
 * was. A waiver for other assets too stays, and this asset gets one of its own.
 *
 * @param asset Path of the asset, relative to the folder that the command runs in.
 */
export function renamedLedger(
  ledger: Ledger,
  asset: string,
  renames: readonly RigRenames[],
  folders: Folders,
): { readonly change: LedgerChange; readonly renamed: number } {
  const placed: Placed[] = [];
  const rename = waiverRenamer(renames);
  const spent = waiversByAsset(
    ledger.waivers,
    folders.cwd,
  )(resolve(folders.cwd, asset)).filter((waiver) => {
    const { line: _, pattern: __, ...text } = waiver;
    const next = rename(text);
    if (next === null) return false;
    const own = isForOne(waiver);
    const pattern = own ? waiver.asset : patternOf(asset, folders);
    placed.push({ waiver: { ...next, asset: pattern }, instead: own ? waiver : null });
    return own;
  });
  return { change: changeOf(ledger, spent, placed), renamed: placed.length };
}
