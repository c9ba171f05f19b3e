import { groupBy } from '../rig/group-by.js';
import { gradeOf } from './grade-of.js';
import type { MarkRecord } from './older/mark-record.js';
import type { OlderMark, OlderMarks, RuleFaults } from './older/older-marks.js';
import type { Rubric } from './rubric.js';
import { type Tenths, toTenths } from './tenths.js';

/** What became of a submission since the hand-in before. */
export interface Since {
  /** `new` where the hand-in before does not have it. */
  readonly kind: 'changed' | 'same files' | 'new';
  /** Points of the hand-ins before, as they would be of this rubric; null where it had none. */
  readonly before: readonly (Tenths | null)[];
  /** Points now less those of the hand-in before; null where one of the two has none. */
  readonly change: Tenths | null;
  /** The grade of the last hand-in that it took part in; null where it had none, or there are none now. */
  readonly gradeBefore: string | null;
  /** What was at fault and is not any more, what is now and was not, and how much is at fault in both; null where only points are known. */
  readonly faults: FaultChanges | null;
}

export interface FaultChanges {
  readonly mended: readonly RuleFaults[];
  readonly added: readonly RuleFaults[];
  readonly still: number;
}

/** A submission that an earlier hand-in has and this one does not. */
export interface Absent {
  readonly name: string;
  readonly before: readonly (Tenths | null)[];
  readonly gradeBefore: string | null;
  readonly older: OlderMark;
}

/** The points of the hand-ins before, as they would be of this rubric. */
export function pointsBefore(
  { marks }: Pick<OlderMark, 'marks'>,
  { handIns }: OlderMarks,
  { whole }: Rubric,
): (Tenths | null)[] {
  return handIns.map(({ outOf }, at) => {
    const mark = marks[at] ?? null;
    return mark === null ? null : toTenths(((mark / outOf) * whole) / 10);
  });
}

/**
 * The grade of the last hand-in that somebody took part in: as it was given, by hand perhaps, else what
 * those points would be given now.
 */
function gradeBefore(
  { grade }: Pick<OlderMark, 'grade'>,
  before: readonly (Tenths | null)[],
  rubric: Rubric,
): string | null {
  if (rubric.grading.grades.length === 0) return null;
  return grade ?? gradeOf(lastMark(before), rubric)?.name ?? null;
}

/** Compares a submission with what the hand-ins before have of it. */
export function sinceOf(
  name: string,
  points: Tenths | null,
  record: MarkRecord,
  older: OlderMarks,
  rubric: Rubric,
): Since {
  const mark = older.byName.get(name);
  if (mark === undefined)
    return {
      kind: 'new',
      before: older.handIns.map(() => null),
      change: null,
      gradeBefore: null,
      faults: null,
    };
  const before = pointsBefore(mark, older, rubric);
  const last = lastMark(before);
  const change = last === null || points === null ? null : points - last;
  const isSame = mark.content !== null && mark.content === record.content;
  const known = mark.faults !== null && record.faults !== null;
  const faults = known ? faultChanges(mark.faults, record.faults) : null;
  const kind = isSame ? 'same files' : 'changed';
  return { kind, before, change, gradeBefore: gradeBefore(mark, before, rubric), faults };
}

/** The points of the last hand-in that somebody took part in. */
export function lastMark(before: readonly (Tenths | null)[]): Tenths | null {
  return before.findLast((mark) => mark !== null) ?? null;
}

/**
 * A fault is the same one where rule and place are: two at one place of one rule count as two. What hangs
 * on another joint now has another path, so what is left is known by its name, where only one has it.
 */
export function faultChanges(
  before: readonly RuleFaults[],
  now: readonly RuleFaults[],
): FaultChanges {
  const rules = [...new Set([...before, ...now].map(({ rule }) => rule))];
  const placesOf = (faults: readonly RuleFaults[], rule: string): readonly string[] =>
    faults.filter((each) => each.rule === rule).flatMap(({ at }) => at);
  const changes = rules.map((rule) => {
    const [old, fresh] = [placesOf(before, rule), placesOf(now, rule)];
    const [gone, come] = [without(old, fresh), without(fresh, old)];
    const moved = movedAmong(gone, come);
    const mended = gone.filter((place) => !moved.has(lastName(place)));
    const added = come.filter((place) => !moved.has(lastName(place)));
    return { rule, mended, added, still: old.length - mended.length };
  });
  const some = (which: 'mended' | 'added'): RuleFaults[] =>
    changes.flatMap((change) =>
      change[which].length > 0 ? [{ rule: change.rule, at: change[which] }] : [],
    );
  const still = changes.reduce((sum, change) => sum + change.still, 0);
  return { mended: some('mended'), added: some('added'), still };
}

/** What of `all` is not in `other`, each as often as it is more often there. */
function without(all: readonly string[], other: readonly string[]): string[] {
  const left = new Map(
    [...groupBy(other, (place) => place)].map(([place, same]) => [place, same.length]),
  );
  return all.filter((place) => {
    const count = left.get(place) ?? 0;
    if (count > 0) left.set(place, count - 1);
    return count === 0;
  });
}

/** Names that one place of each list ends with, and no other of either. */
function movedAmong(gone: readonly string[], come: readonly string[]): Set<string> {
  const [before, now] = [groupBy(gone, lastName), groupBy(come, lastName)];
  const names = [...before.keys()].filter(
    (name) => name !== '' && before.get(name)?.length === 1 && now.get(name)?.length === 1,
  );
  return new Set(names);
}

/** The name at the end of a path. */
export function lastName(place: string): string {
  return place.slice(place.lastIndexOf('/') + 1);
}

/** How many things faults are about. */
export function placesIn(faults: readonly RuleFaults[]): number {
  return faults.reduce((sum, { at }) => sum + at.length, 0);
}

/** Those that earlier hand-ins have and this one does not, in their order. */
export function absentOf(names: readonly string[], older: OlderMarks, rubric: Rubric): Absent[] {
  const there = new Set(names.flatMap((name) => older.byName.get(name) ?? []));
  return older.all
    .filter((mark) => !there.has(mark))
    .map((mark) => {
      const before = pointsBefore(mark, older, rubric);
      return {
        name: mark.name,
        before,
        gradeBefore: gradeBefore(mark, before, rubric),
        older: mark,
      };
    });
}

/** Names that are offered for one submission: more are no help. */
const MOST_OFFERED = 3;

/**
 * Which of the absent a new submission may be, under another name: those with the same files, else
 * those with the same joint names, else one whose name differs by its ending alone. It is for the
 * teacher to say, so nothing is compared.
 */
export function perhapsSame(name: string, record: MarkRecord, absent: readonly Absent[]): string[] {
  const tests: ((older: OlderMark) => boolean)[] = [
    ({ content }) => content !== null && content === record.content,
    ({ joints }) => joints !== null && joints === record.joints,
    (older) => stem(older.name) === stem(name),
  ];
  for (const test of tests) {
    const found = absent.filter(({ older }) => test(older));
    if (found.length > 0 && found.length <= MOST_OFFERED) return found.map((each) => each.name);
  }
  return [];
}

function stem(name: string): string {
  return name.replace(/\.[^.]{1,5}$/, '').toLowerCase();
}
