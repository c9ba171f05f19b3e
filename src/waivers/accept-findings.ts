import { acceptance, acceptanceOfAny, worstOf } from './accept.js';
import { leastOf } from './accepted-in.js';
import { type AssetView, changeOf, isForOne, type Placed, subjectsAbout } from './asset-view.js';
import type { Chosen } from './choose-findings.js';
import { type Folders, patternOf } from './folders.js';
import { judgeFinding } from './judge-finding.js';
import { holdsOn, type Ledger, type Waiver, type WaiverText } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';
import type { Subject } from './subjects.js';
import { waiverLine } from './waiver-line.js';

/** Who waives, why and until when. */
export type Ground = Pick<WaiverText, 'why' | 'by' | 'until'>;

export interface AcceptOptions {
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
 * about these findings alone, past its day or outgrown, gives its place to them.
 */
export function acceptEach(
  chosen: readonly Chosen[],
  views: readonly AssetView[],
  ledger: Ledger,
  options: AcceptOptions,
): LedgerChange {
  const { ground, today, folders, only } = options;
  const spent = new Set<Waiver>();
  const placed: Placed[] = [];
  const done = new Set<string>();
  for (const view of views) {
    const asset = patternOf(view.path, folders);
    const own = chosen.filter((item) => item.asset === view.path);
    const fresh = own.filter(({ subject }) => !isCovered(subject, view, options));
    const taken = new Set(fresh.map(({ subject }) => subject));
    const old = view.waivers.filter(
      (waiver) => isForOne(waiver) && isSpent(waiver, view, taken, only),
    );
    for (const { subject } of fresh) {
      const waiver: WaiverText = { asset, ...acceptance(subject, only), ...ground };
      const key = waiverLine(waiver);
      if (done.has(key)) continue;
      done.add(key);
      const about = old.filter((item) => subjectsAbout(item, view).includes(subject));
      for (const item of about) spent.add(item);
      placed.push({ waiver: ordered(waiver), instead: about[0] ?? null });
    }
  }
  return changeOf(ledger, spent, placed);

  function isCovered(subject: Subject, view: AssetView, { extend }: AcceptOptions): boolean {
    // What the check waived is waived, whatever by.
    if (subject.finding.waived !== undefined && !extend) return true;
    const lasting = extend ? view.waivers.filter((waiver) => lasts(waiver, ground)) : view.waivers;
    const narrowed =
      only === null
        ? subject
        : { ...subject, places: subject.places.filter(({ path }) => path === only) };
    return judgeFinding(narrowed, lasting, today).by !== null;
  }
}

/** Whether all that a waiver is about is accepted anew. */
function isSpent(
  waiver: Waiver,
  view: AssetView,
  taken: ReadonlySet<Subject>,
  only: string | null,
): boolean {
  const about = subjectsAbout(waiver, view);
  if (about.length === 0 || !about.every((subject) => taken.has(subject))) return false;
  const listed = waiver.accepted?.places ?? null;
  return only === null || (listed === null ? waiver.joint === only : listed.size === 1);
}

/** Whether a waiver holds as long as one written now would. */
export function lasts({ until }: Pick<Ground, 'until'>, ground: Pick<Ground, 'until'>): boolean {
  return until === null || (ground.until !== null && until >= ground.until);
}

/** Keys in the order that a ledger has them. */
function ordered({ rule, asset, ...rest }: WaiverText): WaiverText {
  return { rule, asset, ...rest };
}

/**
 * Waivers for all findings of a rule that a pattern of assets fits: one for each unit, which holds the
 * worst. One of the ledger for the same gives its place to it, and is kept in mind while it holds.
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
  const placed = acceptanceOfAny(
    chosen.map(({ subject }) => subject),
    joint,
  ).flatMap((one): Placed[] => {
    const same = ledger.waivers.filter(
      ({ rule, asset, joint: its, accepted }) =>
        rule === one.rule &&
        asset === pattern &&
        its === joint &&
        (accepted === undefined ||
          (accepted.places === null && accepted.unit === one.accepted.unit)),
    );
    const [subject] = chosen.map((item) => item.subject);
    const accepted = same.reduce(
      (all, { accepted: before, until }) =>
        before === undefined || subject === undefined || !holdsOn({ until }, today)
          ? all
          : worstOf(before, all, leastOf(subject)),
      one.accepted,
    );
    const waiver = { rule: one.rule, asset: pattern, joint, accepted, ...ground };
    const enough = same.some(
      (old) => lasts(old, ground) && waiverLine({ ...old, ...ground }) === waiverLine(waiver),
    );
    if (enough) return [];
    spent.push(...same);
    return [{ waiver, instead: same[0] ?? null }];
  });
  return changeOf(ledger, spent, placed);
}
