import { joined } from './finding-words.js';
import { alsoWords, jointsOf, otherPlaces, othersWords } from './places.js';
import type { FindingReport } from './report-types.js';
import { label } from './text-pen.js';

/** Joints of one finding that are marked one by one; where there are more, they fold and are counted. */
const MOST_MARKED = 12;

/** Findings that one mark names. */
const NAMED = 3;

/** What the tree says, by joint, where a finding lists a joint that is not its place. */
export interface JointMarks {
  /** Joints that are shown for it. */
  readonly shown: ReadonlyMap<number, readonly string[]>;
  /** Joints of findings that list too many to unfold the tree for each. */
  readonly folded: ReadonlyMap<number, readonly string[]>;
}

export function jointMarks(findings: readonly FindingReport[]): JointMarks {
  const [shown, folded] = [new Map<number, string[]>(), new Map<number, string[]>()];
  for (const finding of findings) {
    const { rule, place } = finding;
    const joints = jointsOf(otherPlaces(finding));
    const marks = joints.length > MOST_MARKED ? folded : shown;
    const words = `${rule}, listed ${place.joint === null ? 'above' : `at "${label(place.name)}"`}`;
    for (const joint of joints) {
      const list = marks.get(joint) ?? [];
      list.push(words);
      marks.set(joint, list);
    }
  }
  return { shown, folded };
}

/** All marks of one joint. */
export function marksAt({ shown, folded }: JointMarks, joint: number): string[] {
  return [...(shown.get(joint) ?? []), ...(folded.get(joint) ?? [])];
}

/** `also axis.up, listed at "shin_L"; chain.stretch, listed at "hand_R"`. */
export function markWords(marks: readonly string[]): string {
  const more = marks.length - NAMED;
  return `also ${marks.slice(0, NAMED).join('; ')}${more > 0 ? ` and ${more} more` : ''}`;
}

/** What the tree does not mark of the places that a finding lists. */
export function unmarkedWords(finding: FindingReport): string {
  const others = otherPlaces(finding);
  const joints = others.filter(({ joint }) => joint !== null);
  const rest = others.filter(({ joint }) => joint === null);
  return joined([
    alsoWords(rest, ({ name }) => label(name)),
    joints.length > MOST_MARKED && `Also at ${othersWords(joints)}.`,
  ]);
}
