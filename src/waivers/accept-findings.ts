import { acceptance, acceptanceOfAny, worstOf } from './accept.js';
import { type AssetView, changeOf, isForOne, type Placed, subjectsAbout } from './asset-view.js';
import type { Chosen } from './choose-findings.js';
import { type Folders, patternOf } from './folders.js';
import { judgeFinding } from './judge-finding.js';
import { holdsOn, type Ledger, type Waiver, type WaiverText } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import type { Subject } from './subjects.js';
import { waiverLine } from './waiver-line.js';
import { smallerIsWorse } from './worse.js';

/** Who waives, why and until when. */
export type Ground = Pick<WaiverText, 'why' | 'by' | 'until'>;

interface AcceptOptions {
  readonly ground: Ground;
  readonly today: string;
  readonly folders: Folders;
  /** Path of the one place that is accepted of each finding; null for all of them. */
  readonly only: string | null;
  /** Whether what is waived already, but for a shorter time, is waived anew. */
  readonly extend: boolean;
}

/**
 * One waiver for each finding chosen that nothing covers today. A waiver for the same asset that is
 * about these findings alone, past its day or outgrown, is replaced by theirs.
 */
export function acceptEach(
  chosen: readonly Chosen[],
  views: readonly AssetView[],
  ledger: Ledger,
  { ground, today, folders, only, extend }: AcceptOptions,
): LedgerChange {
  const spent = new Set<Waiver>();
  const placed: Placed[] = [];
  const written = new Set<string>();
  for (const view of views) {
    const asset = patternOf(view.path, folders);
    const subjects = chosen.filter((each) => each.asset === view.path).map((each) => each.subject);
    const fresh = new Set(subjects.filter((subject) => !isCovered(subject, view)));
    const old = view.waivers.filter((waiver) => isForOne(waiver) && isSpent(waiver, view, fresh));
    for (const subject of fresh) {
      const { rule, ...rest } = acceptance(subject, only);
      const waiver: WaiverText = { rule, asset, ...rest, ...ground };
      const line = waiverLine(waiver);
      if (written.has(line)) continue;
      written.add(line);
      const replaced = old.filter((each) => subjectsAbout(each, view).includes(subject));
      for (const each of replaced) spent.add(each);
      placed.push({ waiver, instead: replaced[0] ?? null });
    }
  }
  return changeOf(ledger, spent, placed);

  function isCovered(subject: Subject, view: AssetView): boolean {
    // What the check waived is covered, whichever waiver did it.
    if (subject.finding.waived !== undefined && !extend) return true;
    const lasting = extend ? view.waivers.filter((waiver) => lasts(waiver, ground)) : view.waivers;
    const places = subject.places.filter(({ path }) => only === null || path === only);
    return judgeFinding({ ...subject, places }, lasting, today).by !== null;
  }

  /** Whether all that a waiver is about is accepted anew. */
  function isSpent(waiver: Waiver, view: AssetView, fresh: ReadonlySet<Subject>): boolean {
    const about = subjectsAbout(waiver, view);
    if (about.length === 0 || !about.every((subject) => fresh.has(subject))) return false;
    const listed = waiver.accepted?.places ?? null;
    return only === null || (listed === null ? waiver.joint === only : listed.size === 1);
  }
}

/** Whether a waiver is in force as long as one written now would be. */
export function lasts({ until }: Pick<Ground, 'until'>, ground: Pick<Ground, 'until'>): boolean {
  return until === null || (ground.until !== null && until >= ground.until);
}

/**
 * Waivers for all findings of a rule that a pattern of assets fits: one for each unit, which accepts the
 * worst. One of the ledger for the same is replaced, and what it accepts is added while it is in force.
 *
 * @param pattern Relative to the folder of the ledger.
 * @param joint As in a waiver.
 */
export function acceptPattern(
  chosen: readonly Chosen[],
  pattern: string,
  joint: string | null,
  ledger: Ledger,
  { ground, today }: Pick<AcceptOptions, 'ground' | 'today'>,
): LedgerChange {
  const spent: Waiver[] = [];
  const subjects = chosen.map(({ subject }) => subject);
  const least = subjects[0] !== undefined && smallerIsWorse(subjects[0].finding);
  const placed = acceptanceOfAny(subjects, joint).flatMap(({ rule, accepted: fresh }): Placed[] => {
    const same = ledger.waivers.filter(
      (old) =>
        old.rule === rule &&
        old.asset === pattern &&
        old.joint === joint &&
        (old.accepted === undefined ||
          (old.accepted.places === null && old.accepted.unit === fresh.unit)),
    );
    const accepted = same
      .filter((old) => holdsOn(old, today))
      .flatMap((old) => old.accepted ?? [])
      .reduce((all, before) => worstOf(before, all, least), fresh);
    const waiver = { rule, asset: pattern, joint, accepted, ...ground };
    const isEnough = same.some(
      (old) => lasts(old, ground) && waiverLine({ ...old, ...ground }) === waiverLine(waiver),
    );
    if (isEnough) return [];
    spent.push(...same);
    return [{ waiver, instead: same[0] ?? null }];
  });
  return changeOf(ledger, spent, placed);
}
