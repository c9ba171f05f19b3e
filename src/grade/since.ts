import { type FaultChanges, faultChanges } from './fault-changes.js';
import { gradeOf } from './grade-of.js';
import type { MarkRecord } from './older/mark-record.js';
import type { OlderMark, OlderMarks } from './older/older-marks.js';
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
  /** Null where only points are known. */
  readonly faults: FaultChanges | null;
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
