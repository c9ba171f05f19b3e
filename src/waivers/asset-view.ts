import type { AssetReport } from '../report/report-types.js';
import { waiversByAsset } from './apply-ledger.js';
import { isAboutSubject } from './judge-finding.js';
import type { Ledger, Waiver, WaiverText } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import { type Subject, subjectsOf } from './subjects.js';

/** An asset of a report, with the waivers that are for it. */
export interface AssetView {
  readonly path: string;
  readonly subjects: readonly Subject[];
  readonly waivers: readonly Waiver[];
}

/** The assets of a report that could be read and have a path to be known by. */
export function assetViews(
  assets: readonly AssetReport[],
  { waivers }: Ledger,
  cwd: string,
): AssetView[] {
  const lookUp = waiversByAsset(waivers, cwd);
  return assets
    .filter(({ path, unreadable }) => unreadable === null && path !== '-')
    .map((asset) => ({ ...asset, subjects: subjectsOf(asset), waivers: lookUp(asset.path) }));
}

/** Which findings of its asset a waiver is about. */
export function subjectsAbout(waiver: Waiver, { subjects }: AssetView): Subject[] {
  return subjects.filter((subject) => isAboutSubject(waiver, subject));
}

/** Whether a waiver is for one asset alone. */
export function isForOne({ pattern }: Waiver): boolean {
  return pattern.only !== null;
}

/** A waiver to be written, in the place of another or at the end. */
export interface Placed {
  readonly waiver: WaiverText;
  readonly instead: Waiver | null;
}

/** What becomes of a ledger: `spent` goes, and each waiver placed goes where it says. */
export function changeOf(
  ledger: Ledger,
  spent: Iterable<Waiver>,
  placed: readonly Placed[],
): LedgerChange {
  const indices = new Map(ledger.waivers.map((waiver, index) => [waiver, index]));
  const instead = new Map<number, WaiverText[]>();
  for (const waiver of spent) instead.set(indices.get(waiver) ?? -1, []);
  const added: WaiverText[] = [];
  for (const { waiver, instead: old } of placed)
    (instead.get((old && indices.get(old)) ?? -1) ?? added).push(waiver);
  return { instead, added };
}
