import { resolve } from 'node:path';
import { isAbout, STAR_ITSELF, waiversByAsset } from './apply-ledger.js';
import { literalPattern, namesOf, partsOfPath, relativePattern } from './asset-pattern.js';
import type { Chosen } from './choose-findings.js';
import { holdsOn, type Ledger, type WaiverText } from './ledger.js';
import { slashes } from './slashes.js';

/** Who waives, why and until when. */
export type Ground = Pick<WaiverText, 'why' | 'by' | 'until'>;

export interface Folders {
  /** Absolute path of the folder that the paths of the report are relative to. */
  readonly cwd: string;
  /** Absolute path of the folder that the ledger is in. */
  readonly ledger: string;
}

/** One waiver for each finding that no waiver covers today, each place and rule of a file once. */
export function oneEach(
  chosen: readonly Chosen[],
  ledger: Ledger,
  ground: Ground,
  today: string,
  folders: Folders,
): WaiverText[] {
  const lookUp = waiversByAsset(ledger.waivers, folders.cwd);
  const added = new Map<string, WaiverText>();
  for (const { asset, finding } of chosen) {
    const { rule, place } = finding;
    const covered = lookUp(asset).some(
      (waiver) => waiver.rule === rule && isAbout(waiver.joint, place) && holdsOn(waiver, today),
    );
    if (covered) continue;
    const joint = place.kind === 'asset' ? null : place.path === '*' ? STAR_ITSELF : place.path;
    const waiver = { rule, asset: patternOf(asset, folders), joint, ...ground };
    const key = JSON.stringify([rule, waiver.asset, joint]);
    if (!added.has(key)) added.set(key, waiver);
  }
  return [...added.values()];
}

/** The waiver in the ledger that says the same for as long, if there is one. */
export function sameInLedger(
  ledger: Ledger,
  { rule, asset, joint, until }: WaiverText,
): Ledger['waivers'][number] | undefined {
  return ledger.waivers.find(
    (waiver) =>
      waiver.rule === rule &&
      waiver.asset === asset &&
      waiver.joint === joint &&
      (waiver.until === null || (until !== null && waiver.until >= until)),
  );
}

/** Waivers in the ledger that say the same as new ones for a shorter time. */
export function outlived(
  ledger: Ledger,
  added: readonly WaiverText[],
): readonly Ledger['waivers'][number][] {
  const keyOf = ({ rule, asset, joint }: WaiverText): string =>
    JSON.stringify([rule, asset, joint]);
  const ends = new Map(added.map((waiver) => [keyOf(waiver), waiver.until]));
  return ledger.waivers.filter((waiver) => {
    const end = ends.get(keyOf(waiver));
    return end !== undefined && waiver.until !== null && (end === null || end > waiver.until);
  });
}

/** The pattern, relative to the ledger, that a file of the report alone fits. */
export function patternOf(asset: string, { cwd, ledger }: Folders): string {
  const names = partsOfPath(slashes(resolve(cwd, asset)));
  return relativePattern(names.map(literalPattern), slashes(ledger));
}

/** A pattern of paths as the report has them, written relative to the ledger. */
export function rebased(pattern: string, { cwd, ledger }: Folders): string {
  const names = partsOfPath(slashes(cwd)).map(literalPattern);
  for (const name of namesOf(pattern)) {
    if (name === '..') names.pop();
    else names.push(name);
  }
  return relativePattern(names, slashes(ledger));
}
