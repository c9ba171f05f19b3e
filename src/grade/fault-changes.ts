import { groupBy } from '../rig/group-by.js';
import type { RuleFaults } from './older/older-marks.js';

/** What became of all that was found, from one hand-in to the next. */
export interface FaultChanges {
  readonly mended: readonly RuleFaults[];
  readonly added: readonly RuleFaults[];
  /** Faults that are notes now, and notes that are faults now. */
  readonly eased: readonly RuleFaults[];
  readonly graver: readonly RuleFaults[];
  /** How much is there as before, by what it is now. */
  readonly still: { readonly faults: number; readonly notes: number };
}

/** One place of one rule; null for what nobody knows. */
interface Spot {
  readonly at: string;
  readonly note: boolean | null;
  readonly rig: number | null;
}

interface Pair {
  readonly before: Spot;
  readonly now: Spot;
}

/** What two spots have in common when they are one: what is alike in most is paired first. */
const ALIKE: readonly ((spot: Spot) => string)[] = [
  ({ at, note, rig }) => JSON.stringify([at, note, rig]),
  ({ at, note }) => JSON.stringify([at, note]),
  ({ at, rig }) => JSON.stringify([at, rig]),
  ({ at }) => at,
];

/**
 * A fault is the same one where rule and place are: two at one place of one rule count as two. What hangs
 * on another joint now has another path, so what is left is known by its name, where only one has it.
 */
export function faultChanges(
  before: readonly RuleFaults[],
  now: readonly RuleFaults[],
): FaultChanges {
  const rules = [...new Set([...before, ...now].map(({ rule }) => rule))];
  const changes = rules.map((rule) => ({
    rule,
    ...changesOf(spotsOf(before, rule), spotsOf(now, rule)),
  }));
  const some = (which: 'mended' | 'added' | 'eased' | 'graver'): RuleFaults[] =>
    changes.flatMap((change) => faultsAt(change.rule, change[which]));
  const kept = changes.flatMap(({ still }) => still);
  const notes = kept.filter(({ note }) => note === true).length;
  return {
    ...{ mended: some('mended'), added: some('added') },
    ...{ eased: some('eased'), graver: some('graver') },
    still: { faults: kept.length - notes, notes },
  };
}

function spotsOf(faults: readonly RuleFaults[], rule: string): Spot[] {
  return faults
    .filter((each) => each.rule === rule)
    .flatMap(({ at, note = null, rigs }) =>
      at.map((place, index) => ({ at: place, note, rig: rigs?.[index] ?? null })),
    );
}

/** The spots of one rule, apart by whether they are notes. */
function faultsAt(rule: string, spots: readonly Spot[]): RuleFaults[] {
  return [...groupBy(spots, ({ note }) => note)].map(([note, own]) => {
    const rigs = own.flatMap(({ rig }) => rig ?? []);
    return {
      rule,
      at: own.map(({ at }) => at),
      ...(note === null ? {} : { note }),
      ...(rigs.length === own.length ? { rigs } : {}),
    };
  });
}

function changesOf(old: readonly Spot[], fresh: readonly Spot[]) {
  const pairs: Pair[] = [];
  let [gone, come] = [old, fresh];
  for (const keyOf of ALIKE) {
    const paired = pairUp(gone, come, keyOf);
    pairs.push(...paired.pairs);
    [gone, come] = [paired.gone, paired.come];
  }
  const names = movedAmong(gone, come);
  const moved = pairUp(gone, come, ({ at }) => (names.has(lastName(at)) ? lastName(at) : null));
  pairs.push(...moved.pairs);
  const turned = (from: boolean): Spot[] =>
    pairs.flatMap(({ before, now }) => (before.note === from && now.note === !from ? [now] : []));
  const [eased, graver] = [turned(false), turned(true)];
  const still = pairs.flatMap(({ before, now }) =>
    before.note === null || now.note === null || before.note === now.note ? [now] : [],
  );
  return { mended: moved.gone, added: moved.come, eased, graver, still };
}

/** Pairs what has the same key, each once; null is the key of none. */
function pairUp(
  gone: readonly Spot[],
  come: readonly Spot[],
  keyOf: (spot: Spot) => string | null,
): { readonly pairs: Pair[]; readonly gone: Spot[]; readonly come: Spot[] } {
  const open = groupBy(come, keyOf);
  open.delete(null);
  const taken = new Set<Spot>();
  const pairs: Pair[] = [];
  const left = gone.filter((before) => {
    const now = open.get(keyOf(before))?.shift();
    if (now === undefined) return true;
    taken.add(now);
    pairs.push({ before, now });
    return false;
  });
  return { pairs, gone: left, come: come.filter((spot) => !taken.has(spot)) };
}

/** Names that one place of each list ends with, and no other of either. */
function movedAmong(gone: readonly Spot[], come: readonly Spot[]): Set<string> {
  const byName = (spots: readonly Spot[]) => groupBy(spots, ({ at }) => lastName(at));
  const [before, now] = [byName(gone), byName(come)];
  const names = [...before.keys()].filter(
    (name) => name !== '' && before.get(name)?.length === 1 && now.get(name)?.length === 1,
  );
  return new Set(names);
}

/** The name at the end of a path. */
export function lastName(place: string): string {
  return place.slice(place.lastIndexOf('/') + 1);
}

/** How many places there are. */
export function placesIn(faults: readonly RuleFaults[]): number {
  return faults.reduce((sum, { at }) => sum + at.length, 0);
}

/** What is at fault. Older grades do not tell notes from the rest, which then counts as before. */
export function withoutNotes(faults: readonly RuleFaults[]): RuleFaults[] {
  return faults.filter(({ note }) => note !== true);
}

/** Whether anything was found in one hand-in that was not found, or was found at another level, in the other. */
export function isChanged({ mended, added, eased, graver }: FaultChanges): boolean {
  return [mended, added, eased, graver].some((each) => each.length > 0);
}
