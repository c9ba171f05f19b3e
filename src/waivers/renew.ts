import { acceptance, acceptanceOfAny, worstOf } from './accept.js';
import { type Ground, lasts } from './accept-findings.js';
import { type AssetView, changeOf, isForOne, type Placed, subjectsAbout } from './asset-view.js';
import { type Folders, patternOf } from './folders.js';
import { judgeFinding } from './judge-finding.js';
import { holdsOn, type Ledger, type Waiver, type WaiverText } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import type { Subject } from './subjects.js';
import { smallerIsWorse } from './worse.js';

interface RenewOptions {
  readonly today: string;
  readonly folders: Folders;
  /** Whether a waiver that is about a finding to be renewed is to be written anew. */
  readonly isWanted: (subject: Subject) => boolean;
  /** Who, why and until when a renewed waiver has, from those it had. */
  readonly ground: (old: Waiver) => Ground;
  /** The last day asked for, null for no end; left out, what is in force is good enough. */
  readonly until?: string | null;
}

/**
 * Writes waivers anew, in their places, from what a report shows: those about a finding that is no
 * longer covered (they are past their day or outgrown), or not until the day asked for, and those that do
 * not say how much they accept.
 * A waiver for one asset becomes one for each finding that it is about; one of a pattern accepts the
 * worst of what it fits.
 */
export function renewed(
  views: readonly AssetView[],
  ledger: Ledger,
  options: RenewOptions,
): LedgerChange {
  const { today, isWanted, until } = options;
  const isShort = (subject: Subject, { waivers }: AssetView): boolean => {
    if (until === undefined) return false;
    const lasting = waivers.filter((waiver) => lasts(waiver, { until }));
    return judgeFinding(subject, lasting, today).by === null;
  };
  return rewritten(views, ledger, options, (view) =>
    view.subjects.filter((subject) => {
      const { about, by } = judgeFinding(subject, view.waivers, today);
      const isDue = by?.accepted === undefined || isShort(subject, view);
      return about.length > 0 && isDue && isWanted(subject);
    }),
  );
}

/** Rewrites every waiver that does not say how much it accepts by what the report shows, and no other. */
export function carriedOver(
  views: readonly AssetView[],
  ledger: Ledger,
  { today, folders }: Pick<RenewOptions, 'today' | 'folders'>,
): LedgerChange {
  const plainViews = views.map((view) => {
    return { ...view, waivers: view.waivers.filter(({ accepted }) => accepted === undefined) };
  });
  const ground = (waiver: Waiver): Ground => waiver;
  return rewritten(plainViews, ledger, { today, folders, ground }, (view) =>
    view.waivers.flatMap((waiver) => subjectsAbout(waiver, view)),
  );
}

/** @param startOf The findings of an asset whose waivers are to be rewritten. */
function rewritten(
  views: readonly AssetView[],
  ledger: Ledger,
  { today, folders, ground }: Pick<RenewOptions, 'today' | 'folders' | 'ground'>,
  startOf: (view: AssetView) => readonly Subject[],
): LedgerChange {
  const spent = new Set<Waiver>();
  const placed: Placed[] = [];
  const patterns = new Map<Waiver, Subject[]>();
  for (const view of views) {
    const about = new Map(view.waivers.map((waiver) => [waiver, subjectsAbout(waiver, view)]));
    const { subjects, waivers } = together(startOf(view), about);
    for (const waiver of waivers) {
      if (isForOne(waiver)) spent.add(waiver);
      else patterns.set(waiver, [...(patterns.get(waiver) ?? []), ...(about.get(waiver) ?? [])]);
    }
    for (const subject of view.subjects) {
      if (!subjects.has(subject)) continue;
      const [longest] = waivers
        .filter((waiver) => isForOne(waiver) && about.get(waiver)?.includes(subject))
        .sort((a, b) => lastDay(b, today) - lastDay(a, today));
      // What only patterns are about is covered by them.
      if (longest === undefined) continue;
      const waiver = { ...acceptance(subject), asset: patternOf(view.path, folders) };
      placed.push({ waiver: { ...waiver, ...groundOf(ground(longest)) }, instead: longest });
    }
  }
  for (const [waiver, subjects] of patterns) {
    spent.add(waiver);
    for (const next of patternAgain(waiver, subjects))
      placed.push({ waiver: { ...next, ...groundOf(ground(waiver)) }, instead: waiver });
  }
  return changeOf(ledger, spent, placed);
}

/** Waivers for one asset are renewed whole, so that none of what they are about is lost. */
function together(
  start: readonly Subject[],
  about: ReadonlyMap<Waiver, readonly Subject[]>,
): { readonly subjects: ReadonlySet<Subject>; readonly waivers: Waiver[] } {
  const subjects = new Set(start);
  const isTouched = (group: readonly Subject[]): boolean =>
    group.some((subject) => subjects.has(subject));
  for (let before = -1; before !== subjects.size; ) {
    before = subjects.size;
    for (const [waiver, group] of about)
      if (isForOne(waiver) && isTouched(group)) for (const subject of group) subjects.add(subject);
  }
  const touched = [...about].filter(([, group]) => isTouched(group));
  return { subjects, waivers: touched.map(([waiver]) => waiver) };
}

/** A pattern that says the worst of what it fits, and of what it accepted elsewhere. */
function patternAgain(waiver: Waiver, subjects: readonly Subject[]): WaiverText[] {
  const { joint, accepted: before } = waiver;
  const [first] = subjects;
  const keys = subjects.flatMap(({ places }) => places.map(({ key }) => key));
  const places =
    before?.places == null
      ? null
      : new Map([...before.places.keys(), ...keys].map((key) => [key, null]));
  return acceptanceOfAny(subjects, joint).map(({ accepted }): WaiverText => {
    const all =
      before !== undefined && before.unit === accepted.unit && first !== undefined
        ? worstOf(before, accepted, smallerIsWorse(first.finding))
        : accepted;
    return { ...waiver, accepted: { ...all, places } };
  });
}

function groundOf({ why, by, until }: Ground): Ground {
  return { why, by, until };
}

/** The last day of a waiver as a number to sort by; one in force comes before one that is past. */
function lastDay(waiver: Waiver, today: string): number {
  if (waiver.until === null) return Number.MAX_SAFE_INTEGER;
  const day = Number(waiver.until.replaceAll('-', ''));
  return holdsOn(waiver, today) ? day : -1 / day;
}
