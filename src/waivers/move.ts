import { resolve } from 'node:path';
import { slashes } from '../report/slashes.js';
import {
  fits,
  literalOf,
  literalPattern,
  namesOf,
  partsOfPath,
  relativePattern,
} from './asset-pattern.js';
import { changeOf, type Placed } from './asset-view.js';
import type { Folders } from './folders.js';
import type { Ledger, Waiver } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import { type RigRenames, waiverRenamer } from './waiver-renames.js';

export interface Moved {
  readonly change: LedgerChange;
  readonly moved: readonly Placed[];
  /** Waivers of a pattern that fits the old path and not the new one: a person has to look. */
  readonly left: readonly Waiver[];
}

/**
 * A ledger whose waivers follow an asset, or a folder with all that is below it, to another path.
 * Patterns follow where the names that were moved stand in them as they are.
 *
 * @param from Path as it was, to the folder that the command runs in.
 * @param to Path as it is now, likewise.
 * @param renames What has another name in it now.
 */
export function movedLedger(
  ledger: Ledger,
  from: string,
  to: string,
  folders: Folders,
  renames: readonly RigRenames[] = [],
): Moved {
  const rename = waiverRenamer(renames);
  const old = partsOfPath(slashes(resolve(folders.cwd, from)));
  const now = partsOfPath(slashes(resolve(folders.cwd, to)));
  const moved: Placed[] = [];
  const left: Waiver[] = [];
  for (const waiver of ledger.waivers) {
    const names = wholePattern(waiver.asset, folders);
    if (old.every((name, at) => literalOf(names[at] ?? '*') === name)) {
      const next = [...now.map(literalPattern), ...names.slice(old.length)];
      const asset = relativePattern(next, slashes(folders.ledger));
      const { line: _, pattern: __, ...text } = waiver;
      moved.push({ waiver: { ...(rename(text) ?? text), asset }, instead: waiver });
    } else if (fits(waiver.pattern, old) && !fits(waiver.pattern, now)) left.push(waiver);
  }
  const spent = moved.flatMap(({ instead }) => (instead === null ? [] : [instead]));
  return { change: changeOf(ledger, spent, moved), moved, left };
}

/** The names of a pattern of assets from the root down, each as a pattern. */
function wholePattern(asset: string, { ledger }: Folders): string[] {
  const names = partsOfPath(slashes(ledger)).map(literalPattern);
  for (const name of namesOf(asset)) {
    if (name === '..') names.pop();
    else names.push(name);
  }
  return names;
}
