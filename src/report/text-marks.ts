import { alsoWords, otherPlaces, othersWords } from './places.js';
import type { FindingReport } from './report-types.js';
import { label } from './text-pen.js';

/** Joints of one finding that are marked one by one; where there are more, they fold and are counted. */
const MOST_MARKED = 12;

/** Findings that one mark names. */
const NAMED = 3;

/** What the tree says at joints that a finding lists beside the one it is told at. */
export interface JointMarks {
  /** Joints that are shown for it. */
  readonly shown: ReadonlyMap<number, readonly string[]>;
  /** Joints of findings that list too many to unfold the tree for each. */
  readonly folded: ReadonlyMap<number, readonly string[]>;
}

export function jointMarks(findings: readonly FindingReport[]): JointMarks {
  const shown = new Map<number, string[]>();
  const folded = new Map<number, string[]>();
  for (const finding of findings) {
    const joints = otherPlaces(finding).flatMap(({ joint }) => (joint === null ? [] : [joint]));
    const marks = joints.length > MOST_MARKED ? folded : shown;
    const words = toldAt(finding);
    for (const joint of joints) {
      const own = marks.get(joint);
      if (own === undefined) marks.set(joint, [words]);
      else own.push(words);
    }
  }
  return { shown, folded };
}

/** `axis.up, told at "shin_L"`. */
function toldAt({ rule, place }: FindingReport): string {
  return place.joint === null
    ? `${rule}, listed above`
    : `${rule}, listed at "${label(place.name)}"`;
}

/** All marks of one joint. */
export function marksAt({ shown, folded }: JointMarks, joint: number): string[] {
  return [...(shown.get(joint) ?? []), ...(folded.get(joint) ?? [])];
}

/** `also axis.up, told at "shin_L"; chain.stretch, told at "hand_R"`. */
export function markWords(marks: readonly string[]): string {
  const more = marks.length - NAMED;
  return `also ${marks.slice(0, NAMED).join('; ')}${more > 0 ? ` and ${more} more` : ''}`;
}

/** What the tree does not mark of the places that a finding lists. */
export function unmarkedWords(finding: FindingReport): string {
  const others = otherPlaces(finding);
  const joints = others.filter(({ joint }) => joint !== null);
  const rest = others.filter(({ joint }) => joint === null);
  return [
    alsoWords(rest, ({ name }) => label(name)),
    joints.length > MOST_MARKED ? `Also at ${othersWords(joints)}.` : '',
  ]
    .filter((part) => part !== '')
    .join(' ');
}
