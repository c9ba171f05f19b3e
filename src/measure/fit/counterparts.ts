import { distance, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { pairs } from '../skeleton/pairs.js';
import { type Alignment, alignment } from './alignment.js';
import { approvedFacts, type Matching, matching } from './matching.js';

/** Two joints that stand in one place, whatever their names. */
export interface Counterpart {
  /** Joint of the approved rig. */
  readonly approved: number;
  readonly joint: number;
}

/** What stands where: matched joints, and those that stand in their place under another name. */
export interface Counterparts {
  /** The joint of the rig for each approved joint, -1 for none. */
  readonly ofApproved: Int32Array;
  /** The approved joint for each joint of the rig, -1 for none. */
  readonly ofRig: Int32Array;
  /** Matched by no name, but by what hangs on them or where they stand: renamed, it seems. */
  readonly renamed: readonly Counterpart[];
  /** Pairs of approved joints, left and right, whose names are exchanged in this rig. */
  readonly exchanged: readonly (readonly [number, number])[];
}

/** Two joints nearer than this stand in one place. % of size. */
export const SAME_PLACE = 5;
/** Partners of the middle, or nearer together than this, cannot be told apart. % of size. */
const APART = 2;
/** Where more joints than this hang from one, nobody guesses: each would be held to each. */
const MOST_GUESSED = 300;

/**
 * Goes on from the matching by names to what stands where. Frames, lengths and parents are then
 * compared with the joint in whose place each stands, so that a wrong name is told as one, and once.
 */
export const counterparts = fact((facts): Counterparts | null => {
  const match = matching(facts);
  const theirs = approvedFacts(facts);
  if (match === null || theirs === null) return null;
  const [ofApproved, ofRig] = [match.ofApproved.slice(), match.ofRig.slice()];
  const laid = alignment(facts);
  if (laid === null) return { ofApproved, ofRig, renamed: [], exchanged: [] };

  const exchanged = exchangedPairs(theirs, match, laid);
  for (const [left, right] of exchanged) {
    const [a, b] = [ofApproved[left] ?? -1, ofApproved[right] ?? -1];
    [ofApproved[left], ofApproved[right]] = [b, a];
    [ofRig[a], ofRig[b]] = [right, left];
  }
  const renamed: Counterpart[] = [];
  const add = (approved: number, joint: number): void => {
    ofApproved[approved] = joint;
    ofRig[joint] = approved;
    renamed.push({ approved, joint });
  };
  guessFromBelow(theirs, facts, ofApproved, ofRig, add);
  guessFromAbove(theirs, facts, ofApproved, ofRig, laid, add);
  renamed.sort((a, b) => a.joint - b.joint);
  return { ofApproved, ofRig, renamed, exchanged };
});

type Add = (approved: number, joint: number) => void;

function exchangedPairs(theirs: Facts, { ofApproved }: Matching, laid: Alignment) {
  const { approved, rig, size, toRig } = laid;
  return pairs(theirs).list.flatMap(({ left, right }): (readonly [number, number])[] => {
    const [l, r] = [rig.places[ofApproved[left] ?? -1], rig.places[ofApproved[right] ?? -1]];
    const [from, to] = [approved.places[left], approved.places[right]];
    if (!l || !r || !from || !to) return [];
    const [atLeft, atRight] = [toRig(from), toRig(to)];
    if (distance(atLeft, atRight) < (APART / 100) * size) return [];
    const straight = distance(l, atLeft) + distance(r, atRight);
    const crossed = distance(l, atRight) + distance(r, atLeft);
    return crossed < straight / 2 ? [[left, right]] : [];
  });
}

/** What all matched children of a joint hang on is that joint. From below, so that a chain follows. */
function guessFromBelow(
  theirs: Facts,
  own: Facts,
  ofApproved: Int32Array,
  ofRig: Int32Array,
  add: Add,
): void {
  const { children, count } = theirs.rig.joints;
  for (let joint = count - 1; joint >= 0; joint--) {
    if (ofApproved[joint] !== -1) continue;
    const above = new Set<number>();
    for (const child of children[joint] ?? []) {
      const found = ofApproved[child] ?? -1;
      if (found !== -1) above.add(own.rig.joints.parent[found] ?? -1);
    }
    const [only = -1] = above;
    // A joint that was taken out leaves its children on the one above, which answers to its own.
    if (above.size === 1 && only !== -1 && ofRig[only] === -1) add(joint, only);
  }
}

/** Children that stand in one place below two joints that answer to each other. */
function guessFromAbove(
  theirs: Facts,
  own: Facts,
  ofApproved: Int32Array,
  ofRig: Int32Array,
  { approved, rig, size, toRig }: Alignment,
  add: Add,
): void {
  const within = (SAME_PLACE / 100) * size;
  for (let joint = 0; joint < theirs.rig.joints.count; joint++) {
    const answer = ofApproved[joint] ?? -1;
    const open = (theirs.rig.joints.children[joint] ?? []).filter((at) => ofApproved[at] === -1);
    if (answer === -1 || open.length === 0) continue;
    const there = (own.rig.joints.children[answer] ?? []).filter((at) => ofRig[at] === -1);
    if (there.length === 0 || open.length * there.length > MOST_GUESSED ** 2) continue;
    const wanted = open.map((at) => toRig(approved.places[at] ?? [0, 0, 0]));
    const found = there.map((at): Vec3 => rig.places[at] ?? [0, 0, 0]);
    for (const [at, place] of wanted.entries()) {
      const nearest = nearestOf(place, found, within);
      const back = nearestOf(found[nearest] ?? place, wanted, within);
      const [missing, stands] = [open[at], there[nearest]];
      if (back === at && missing !== undefined && stands !== undefined) add(missing, stands);
    }
  }
}

/** The place of the nearest of some points; -1 where none is within the distance. */
function nearestOf(from: Vec3, points: readonly Vec3[], within: number): number {
  let [best, least] = [-1, within];
  for (const [at, point] of points.entries()) {
    const away = distance(from, point);
    if (away <= least) [best, least] = [at, away];
  }
  return best;
}
