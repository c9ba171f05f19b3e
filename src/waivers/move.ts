import { resolve } from 'node:path';
import {
  fits,
  literalOf,
  literalPattern,
  partsOfPath,
  relativePattern,
} from '../house/asset-pattern.js';
import { slashes } from '../report/slashes.js';
import { waiversByAsset } from './apply-ledger.js';
import { changeOf, isForOne, type Placed } from './asset-view.js';
import { type Folders, patternOf, wholePattern } from './folders.js';
import type { Ledger, Waiver } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import { type RigRenames, waiverRenamer } from './waiver-renames.js';

/**
 * A ledger whose waivers follow an asset, or a folder with all that is below it, to another path.
 * Patterns follow where the names that were moved are written out in them.
 *
 * @param from Path as it was, to the folder that the command runs in.
 * @param to Path as it is now, likewise.
 * @param renames What has another name in it now.
 * @returns As `left`, waivers of a pattern that fits the old path and not the new one: a person has to
 * look.
 */
export function movedLedger(
  ledger: Ledger,
  from: string,
  to: string,
  folders: Folders,
  renames: readonly RigRenames[],
): { readonly change: LedgerChange; readonly left: readonly Waiver[] } {
  const rename = waiverRenamer(renames);
  const old = partsOfPath(slashes(resolve(folders.cwd, from)));
  const now = partsOfPath(slashes(resolve(folders.cwd, to)));
  const placed: Placed[] = [];
  const spent: Waiver[] = [];
  const left: Waiver[] = [];
  for (const waiver of ledger.waivers) {
    const names = wholePattern(waiver.asset, folders.ledger);
    if (old.every((name, at) => literalOf(names[at] ?? '*') === name)) {
      const next = [...now.map(literalPattern), ...names.slice(old.length)];
      const asset = relativePattern(next, slashes(folders.ledger));
      placed.push({ waiver: { ...(rename(waiver) ?? waiver), asset }, instead: waiver });
      spent.push(waiver);
    } else if (fits(waiver.pattern, old) && !fits(waiver.pattern, now)) left.push(waiver);
  }
  return { change: changeOf(ledger, spent, placed), left };
}

/**
 * A ledger whose waivers for an asset have new names of its joints; what they accepted stays as it was.
 * A waiver for other assets too stays, and this asset gets one of its own.
 *
 * @param asset Path of the asset, relative to the folder that the command runs in.
 */
export function renamedLedger(
  ledger: Ledger,
  asset: string,
  renames: readonly RigRenames[],
  folders: Folders,
): { readonly change: LedgerChange; readonly renamed: number } {
  const rename = waiverRenamer(renames);
  const path = resolve(folders.cwd, asset);
  const placed = waiversByAsset(
    ledger.waivers,
    folders.cwd,
  )(path).flatMap((waiver): Placed[] => {
    const renamed = rename(waiver);
    if (renamed === null) return [];
    if (isForOne(waiver)) return [{ waiver: renamed, instead: waiver }];
    return [{ waiver: { ...renamed, asset: patternOf(asset, folders) }, instead: null }];
  });
  const spent = placed.flatMap(({ instead }) => instead ?? []);
  return { change: changeOf(ledger, spent, placed), renamed: placed.length };
}
