import { acceptance, acceptanceOfAny, worstOf } from './accept.js';
import { type Ground, lasts } from './accept-findings.js';
import { leastOf } from './accepted-in.js';
import { type AssetView, changeOf, isForOne, type Placed, subjectsAbout } from './asset-view.js';
import { type Folders, patternOf } from './folders.js';
import { judgeFinding } from './judge-finding.js';
import { holdsOn, type Ledger, type Waiver, type WaiverText } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import type { Subject } from './subjects.js';

export interface RenewOptions {
  readonly today: string;
  readonly folders: Folders;
  /** Whether a waiver that is about a finding to be renewed is to be written anew. */
  readonly isWanted: (subject: Subject, view: AssetView) => boolean;
  /** Who, why and until when a renewed waiver has, from those it had. */
  readonly ground: (old: Waiver) => Ground;
  /** The last day asked for, null for no end; left out, what is in force is good enough. */
  readonly until?: string | null;
}

/**
 * Writes waivers anew, in their places, from what a report shows: those about a finding that is no
 * longer covered (they are past their day or outgrown), or not until the day asked for, and those that do
 * not say what they accepted.
 * A waiver for one asset becomes one for each finding that it is about; one of a pattern holds the
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
      const isOld = by !== null && by.accepted === undefined;
      const isDue = by === null || isOld || isShort(subject, view);
      return about.length > 0 && isDue && isWanted(subject, view);
    }),
  );
}

/** Gives every waiver that does not say what it accepted what the report shows of it; nothing else changes. */
export function carriedOver(
  views: readonly AssetView[],
  ledger: Ledger,
  options: Pick<RenewOptions, 'today' | 'folders'>,
): LedgerChange {
  const old = ledger.waivers.filter(({ accepted }) => accepted === undefined);
  const bare = { ...ledger, waivers: old };
  const known = new Set(old);
  const bareViews = views.map((view) => {
    return { ...view, waivers: view.waivers.filter((waiver) => known.has(waiver)) };
  });
  const all = { ...options, isWanted: () => true, ground: (waiver: Waiver): Ground => waiver };
  const change = rewritten(bareViews, bare, all, (view) =>
    view.subjects.filter((subject) =>
      view.waivers.some((waiver) => subjectsAbout(waiver, view).includes(subject)),
    ),
  );
  const indices = new Map(old.map((waiver, at) => [at, ledger.waivers.indexOf(waiver)]));
  const instead = new Map([...change.instead].map(([at, list]) => [indices.get(at) ?? -1, list]));
  return { instead, added: change.added };
}

function rewritten(
  views: readonly AssetView[],
  ledger: Ledger,
  { today, folders, ground }: RenewOptions,
  seed: (view: AssetView) => readonly Subject[],
): LedgerChange {
  const spent = new Set<Waiver>();
  const placed: Placed[] = [];
  const patterns = new Map<Waiver, Subject[]>();
  for (const view of views) {
    const about = new Map(view.waivers.map((waiver) => [waiver, subjectsAbout(waiver, view)]));
    const { subjects, lines } = together(seed(view), about);
    for (const waiver of lines) {
      if (isForOne(waiver)) spent.add(waiver);
      else patterns.set(waiver, [...(patterns.get(waiver) ?? []), ...(about.get(waiver) ?? [])]);
    }
    for (const subject of view.subjects) {
      if (!subjects.has(subject)) continue;
      const own = lines.filter((item) => isForOne(item) && about.get(item)?.includes(subject));
      const [longest] = own.sort((a, b) => lasting(b, today) - lasting(a, today));
      // What only patterns are about is held by them.
      if (longest === undefined) continue;
      const { rule, ...accepted } = acceptance(subject);
      const asset = patternOf(view.path, folders);
      placed.push({
        waiver: { rule, asset, ...accepted, ...groundOf(ground(longest)) },
        instead: longest,
      });
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
  seed: readonly Subject[],
  about: ReadonlyMap<Waiver, readonly Subject[]>,
): { readonly subjects: ReadonlySet<Subject>; readonly lines: Waiver[] } {
  const subjects = new Set(seed);
  for (let before = -1; before !== subjects.size; ) {
    before = subjects.size;
    for (const [waiver, own] of about)
      if (isForOne(waiver) && own.some((item) => subjects.has(item)))
        for (const item of own) subjects.add(item);
  }
  const lines = [...about].filter(([, own]) => own.some((item) => subjects.has(item)));
  return { subjects, lines: lines.map(([waiver]) => waiver) };
}

/** A pattern that says the worst of what it fits, and of what it accepted elsewhere. */
function patternAgain(waiver: Waiver, subjects: readonly Subject[]): WaiverText[] {
  const { rule, asset, rig, joint, aspect, accepted: before, why, by, until } = waiver;
  const kept = { ...(rig !== undefined && { rig }), ...(aspect !== undefined && { aspect }) };
  const [first] = subjects;
  return acceptanceOfAny(subjects, joint).map(({ accepted }): WaiverText => {
    const all =
      before !== undefined && before.unit === accepted.unit && first !== undefined
        ? worstOf(before, accepted, leastOf(first))
        : accepted;
    const keys = subjects.flatMap(({ places }) => places.map(({ key }) => key));
    const places =
      before?.places == null
        ? null
        : new Map([...before.places.keys(), ...keys].map((key) => [key, null]));
    return { rule, asset, ...kept, joint, accepted: { ...all, places }, why, by, until };
  });
}

function groundOf({ why, by, until }: Ground): Ground {
  return { why, by, until };
}

/** How long a waiver holds, as a number to sort by; one in force comes before one that is past. */
function lasting(waiver: Waiver, today: string): number {
  if (waiver.until === null) return Number.MAX_SAFE_INTEGER;
  const day = Number(waiver.until.replaceAll('-', ''));
  return holdsOn(waiver, today) ? day : -1 / day;
}
