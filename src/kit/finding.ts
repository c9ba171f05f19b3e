import type { LengthUnit } from '../measure/length-units.js';
import type { Vec3 } from '../rig/vec3.js';

/** The words of SARIF 2.1.0 (3.27.10), from most to least serious. */
export type Level = 'error' | 'warning' | 'note';

export const LEVELS: readonly Level[] = ['error', 'warning', 'note'];

/** Whether a level is the failing one or more serious. */
export function isFailing(level: Level, failing: Level | 'never'): boolean {
  return failing !== 'never' && LEVELS.indexOf(level) <= LEVELS.indexOf(failing);
}

type Counted = 'joints' | 'nodes' | 'vertices' | 'matrices' | 'skins' | 'channels';
type Share = '%' | '% of size' | '% of segment' | '% of bone' | '% of frame';

/** Units that limits and measures are given in. */
export type Unit =
  | Share
  | Counted
  | LengthUnit
  | 'degrees'
  | 'times'
  | 'weight'
  | 'steps'
  | 'names'
  | 'clips';

/** What rules look at. */
export type Things = Counted | 'pairs' | 'segments' | 'chains' | 'clips' | 'rigs' | 'assets';

/** What a finding is about. Indices are those of the rig's tables. */
export type Place =
  | { readonly kind: 'joint'; readonly joint: number }
  | { readonly kind: 'node'; readonly node: number }
  | { readonly kind: 'part'; readonly part: number }
  | { readonly kind: 'skin'; readonly skin: number }
  | { readonly kind: 'rig' }
  | { readonly kind: 'asset' };

/** Geometry in world space (bind pose) that shows the fault, for any report to draw. */
export type Evidence =
  | { readonly kind: 'point'; readonly label: string; readonly at: Vec3 }
  | { readonly kind: 'arrow'; readonly label: string; readonly from: Vec3; readonly along: Vec3 }
  | { readonly kind: 'line'; readonly label: string; readonly points: readonly Vec3[] };

/** A fault as a record; words are made from it by its rule's `say`. */
export interface Finding<A = unknown> {
  readonly level: Level;
  readonly place: Place;
  readonly measured: number;
  /** Null where there is no limit (a bare fact). */
  readonly limit: number | null;
  readonly unit: Unit;
  /** What else of it was measured past a limit, each in another unit; the words give one or all. */
  readonly also?: readonly { readonly measured: number; readonly unit: Unit }[];
  /** Joints the finding is about besides its place; precedence looks at them. */
  readonly joints?: readonly number[];
  /** All that is at fault where there are several, in order, `place` (the worst) among them. */
  readonly places?: readonly Place[];
  /** How bad each of `places` is, as `measured`; absent where they are measured as one. */
  readonly measures?: readonly number[];
  /**
   * What the finding is known by from one export to the next. By default its place, and the rig
   * where it lists `places`: which of several is worst can change with the last digit.
   */
  readonly anchor?: Place;
  /** Which fault this is, where a rule can find several at one anchor. */
  readonly aspect?: string;
  /** Rules whose finding at the same place would report the same fault again. */
  readonly covers?: readonly string[];
  /** How many were looked at and fell short, where one finding covers several. */
  readonly counts?: { readonly looked: number; readonly short: number };
  /** Vertices to look at, three at most. */
  readonly vertices?: readonly number[];
  readonly evidence?: readonly Evidence[];
  /** What else the words need. */
  readonly details: A;
}

type Severity = Pick<Finding, 'level' | 'measured'>;

/** Sorts the more serious finding first, then the one that is measured worse. */
export function bySeverity(a: Severity, b: Severity): number {
  return LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || b.measured - a.measured;
}

/** Measures nearer than this are as good as alike: rounding must not choose the worst. */
const ALIKE = 1 + 1e-3;

/** Whether a finding is more serious than another, or measured worse by more than rounding. */
export function isWorse(a: Severity, b: Severity): boolean {
  return a.level === b.level ? a.measured > b.measured * ALIKE : bySeverity(a, b) < 0;
}

/** The worst of some findings; the first of those that are as good as alike. */
export function worstFinding<F extends Severity>(findings: readonly F[]): F | undefined {
  // Compared with the very worst: a long row of small steps must not lead away from it.
  const [top] = [...findings].sort(bySeverity);
  return top === undefined ? undefined : findings.find((finding) => !isWorse(top, finding));
}

/** What a rule found on one rig. */
export interface Judged<A = unknown> {
  readonly kind: 'judged';
  /** How many were looked at, and of what kind. */
  readonly looked: number;
  readonly things: Things;
  readonly short: number;
  /** How many more fell short, whose findings stepped back for those of other rules. */
  readonly elsewhere?: number;
  readonly findings: readonly Finding<A>[];
}

/** Why a rule has nothing to judge on a rig. */
export interface NotApplicable {
  readonly kind: 'not applicable';
  readonly because: string;
}

/** `short` is by default what the findings cover: one thing each, or all that they list. */
export function judged<A = never>(
  things: Things,
  looked: number,
  findings: readonly Finding<A>[],
  short = findings.reduce((sum, finding) => sum + countCovered(finding, things), 0),
): Judged<A> {
  return { kind: 'judged', things, looked, short, findings };
}

/** One finding that covers all that fell short. */
export function judgedAsOne<A>(things: Things, looked: number, finding: Finding<A>): Judged<A> {
  return judged(things, looked, [finding]);
}

/** The kinds of places that things are listed as; a node that is a joint may be listed as one. */
const KINDS: Partial<Record<Things, readonly Place['kind'][]>> = {
  joints: ['joint'],
  nodes: ['joint', 'node'],
  skins: ['skin'],
};

/** How many of the things that a rule looks at a finding covers: those it lists, else one. */
export function countCovered({ places = [] }: Finding, things: Things): number {
  const kinds = KINDS[things] ?? [];
  return Math.max(1, places.filter(({ kind }) => kinds.includes(kind)).length);
}

/** What a rule returns for a rig that it has nothing to judge on, with why as a clause. */
export function notApplicable(because: string): NotApplicable {
  return { kind: 'not applicable', because };
}

/** The findings on some things; `find` gives null for a sound one. */
export function findingsOf<T, A>(
  things: Iterable<T>,
  find: (thing: T) => Finding<A> | null,
): Finding<A>[] {
  return Array.from(things, find).filter((finding) => finding !== null);
}

/** Where a finding about one joint is. */
export function atJoint(joint: number): Pick<Finding, 'place' | 'joints'> {
  return { place: { kind: 'joint', joint }, joints: [joint] };
}

/** Where a finding about several joints is: at the worst, else at the first of them. */
export function atJoints(
  joints: readonly number[],
  worst = joints[0] ?? -1,
): Pick<Finding, 'place' | 'places' | 'joints'> {
  return { place: { kind: 'joint', joint: worst }, places: jointPlaces(joints), joints };
}

/** Joints as places, for a finding that lists them. */
export function jointPlaces(joints: readonly number[]): Place[] {
  return joints.map((joint) => ({ kind: 'joint', joint }));
}
