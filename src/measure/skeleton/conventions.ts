import { angleBetween, radians, type Vec3 } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact, opposite, sameAxis } from '../facts.js';
import type { Side } from '../names/sides.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import type { Frame } from './frame.js';
import { axisWorld, frameAngle, frames } from './frames.js';
import { axisAlong, limbSigns, type ThreeSides } from './limb-signs.js';
import { pairs } from './pairs.js';

/** The frames of a rig, as read off it or as the standard asks. */
export interface Conventions {
  /** `unknown` when no joint has a bone to aim along. */
  readonly kind: 'aimed' | 'world-aligned' | 'mixed' | 'unknown';
  readonly aim: ThreeSides | null;
  /** The second axis of the frame: the standard's, else the one nearest to up on level bones. */
  readonly up: Axis | null;
  /** Whether `up` was asked for or seen; if not, it is one of two equal choices. */
  readonly upKnown: boolean;
  readonly source: 'standard' | 'vote';
  /** The standard's aim axis, when most of the rig has another one, which then counts. */
  readonly missed: Axis | null;
  /** Joints whose bone lies nearest to the aim axis, and joints that had a vote. */
  readonly votes: number;
  readonly voters: number;
  /** Per joint: -1 in limbs that use the other sign of their side's aim axis (see `limbSigns`). */
  readonly limbSign: Int8Array;
}

/** A branching joint backs an axis within this of one of its bones. */
const BACKED_DEGREES = 15;
const BRANCHING_VOTE = 0.5;
/** A frame was laid along its bone when within this of it. Degrees. */
const LAID_DEGREES = 5;
/** Joints share an orientation when they lie within this. */
const ALIGNED_DEGREES = 1;
/** Above this share, all on one axis of one sign, or all of one orientation, is no accident. */
const MOST = 0.8;
/** A vote over fewer joints than this is taken as it falls. */
const QUORUM = 4;
/** A frame that is farther off its bone was never meant to run along it. Degrees. */
const NEARLY_DEGREES = 30;
/** Above this share of joints, frames square to the world are no accident. */
const NEARLY_ALL = 0.9;
/** In a rig that is laid along its bones no more than these miss them: each a fault. Share of joints. */
const FEW = 0.15;

/**
 * Reads the conventions off the rig by vote: every joint that has one child joint to aim at votes
 * for the signed axis nearest to its bone. A side that mirrors may carry the other sign.
 */
export const conventions = fact((facts): Conventions => {
  const voters = findVoters(facts);
  const wanted = facts.wanted.aim;
  if (voters.length === 0 && wanted === null) {
    const limbSign = new Int8Array(facts.rig.joints.count).fill(1);
    const none = { aim: null, up: null, missed: null, votes: 0, voters: 0 };
    return { ...none, kind: 'unknown', upKnown: false, source: 'vote', limbSign };
  }
  const standard = wanted === null ? null : elect(facts, voters, [wanted]);
  // A few joints off the standard's axis are reported each, a rig with another axis once.
  const missed =
    standard !== null && voters.length >= QUORUM && standard.votes * 2 <= voters.length;
  const isVoted = standard === null || missed;
  const best = isVoted ? elect(facts, voters, ALL_AXES) : standard;
  return {
    ...best,
    ...chooseUp(facts, best.aim.middle, voters),
    kind: isVoted ? kindOf(facts, voters, best.votes) : 'aimed',
    source: isVoted ? 'vote' : 'standard',
    missed: missed ? wanted : null,
    voters: voters.length,
  };
});

interface Elected extends Pick<Conventions, 'votes' | 'limbSign'> {
  readonly aim: ThreeSides;
}

/** The one of these axes, with the same or the other sign on one side, that most joints vote for. */
function elect(facts: Facts, voters: readonly Voter[], axes: readonly Axis[]): Elected {
  const { side } = pairs(facts);
  const [voted, backed] = [new Ballot(side), new Ballot(side)];
  for (const { joint, axis } of voters) if (axis !== null) voted.add(joint, axis);
  for (const { joint, axes } of branchingVoters(facts))
    for (const axis of axes) backed.add(joint, axis);
  const scored = axes.flatMap((axis) => {
    const all = { middle: axis, left: axis, right: axis };
    const turned = opposite(axis);
    return [all, { ...all, right: turned }, { ...all, left: turned }].map((aim: ThreeSides) => {
      const votes = voted.count(aim);
      return { aim, votes, score: votes + BRANCHING_VOTE * backed.count(aim) };
    });
  });
  const { aim, ...best } = scored.reduce((a, b) => (b.score > a.score ? b : a));
  let { votes } = best;
  // Limbs that keep to the other sign add their votes, less those that they take.
  const limbSign = limbSigns(facts, aim);
  for (const { joint, axis } of voters) {
    const expected = aim[side[joint] ?? 'middle'];
    if (limbSign[joint] === -1 && axis?.index === expected.index)
      votes += axis.sign === expected.sign ? -1 : 1;
  }
  return { aim, votes, limbSign };
}

/** Votes for signed axes, counted once for all choices of an axis a side. */
class Ballot {
  private readonly votes = {
    middle: new Int32Array(6),
    left: new Int32Array(6),
    right: new Int32Array(6),
  };

  constructor(private readonly side: readonly (Side | null)[]) {}

  add(joint: number, axis: Axis): void {
    const votes = this.votes[this.side[joint] ?? 'middle'];
    votes[placeOf(axis)] = (votes[placeOf(axis)] ?? 0) + 1;
  }

  /** Votes of joints for the axis of their side. */
  count({ middle, left, right }: ThreeSides): number {
    const { votes } = this;
    return (
      (votes.middle[placeOf(middle)] ?? 0) +
      (votes.left[placeOf(left)] ?? 0) +
      (votes.right[placeOf(right)] ?? 0)
    );
  }
}

function placeOf({ index, sign }: Axis): number {
  return sign > 0 ? index : 3 + index;
}

interface Voter {
  readonly joint: number;
  readonly bone: Vec3;
  /** Null where the bone lies between three axes: no vote, but the joint counts as a voter. */
  readonly axis: Axis | null;
}

function findVoters(facts: Facts): Voter[] {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  return facts.rig.joints.children.flatMap(([child, ...others], joint) => {
    if (movesBelow[joint] === 0 || carriers.has(joint)) return [];
    if (child === undefined || others.length > 0) return [];
    const bone = boneDirection(facts, joint, child);
    return bone === null ? [] : [{ joint, bone, axis: axisAlong(facts, joint, child) }];
  });
}

/**
 * A joint with several children backs every axis that points at a moving one, for less than a full
 * vote: on a body with legs at every ring few joints have a single child.
 */
const branchingVoters = fact((facts): readonly { joint: number; axes: readonly Axis[] }[] => {
  const carriers = new Set(bodyRoot(facts).carriers);
  return facts.rig.joints.children.flatMap((children, joint) => {
    if (children.length < 2 || carriers.has(joint)) return [];
    const bones = movingChildren(facts, joint)
      .map((child) => boneDirection(facts, joint, child))
      .filter((bone) => bone !== null);
    const axes = ALL_AXES.filter((axis) => {
      const pointing = axisWorld(facts, joint, axis);
      return bones.some((bone) => angleBetween(pointing, bone) < BACKED_DEGREES);
    });
    return axes.length === 0 ? [] : [{ joint, axes }];
  });
});

/**
 * World-aligned goes before aimed when most joints share one orientation, unless the bones run
 * straight along one signed axis of it: a straight chain is both, and is meant to be aimed. (Level
 * arms aim X on one side and -X on the other by accident.)
 */
function kindOf(facts: Facts, voters: readonly Voter[], votes: number): Conventions['kind'] {
  const { movesBelow } = skinMass(facts);
  const moving = frames(facts).filter((_, joint) => movesBelow[joint] === 1);
  const single = Math.max(
    ...ALL_AXES.map((axis) => voters.filter((voter) => sameAxis(voter.axis, axis)).length),
  );
  const missing = countMissing(facts, voters, LAID_DEGREES);
  const isStraight = single > MOST * voters.length && missing <= voters.length / 3;
  if (!isStraight && sharedOrientation(moving) > MOST) return 'world-aligned';
  const square = moving.filter((frame) => frame.every(isAlongWorld));
  // Laid to the world joint by joint, as when a pose is made the rest pose.
  const isSquare = square.length / Math.max(1, moving.length) > NEARLY_ALL;
  if (isSquare && missing > FEW * voters.length) return 'world-aligned';
  if (voters.length >= QUORUM) return votes * 2 > voters.length ? 'aimed' : 'mixed';
  // Of a few joints, none laid along its bone, nothing is a convention: a box and its lid.
  return countMissing(facts, voters, NEARLY_DEGREES) < voters.length ? 'aimed' : 'unknown';
}

/** Joints whose bone is off the axis it is nearest to: frames that were not laid along the bones. */
function countMissing(facts: Facts, voters: readonly Voter[], limit: number): number {
  return voters.filter(({ joint, bone, axis }) => {
    return axis === null || angleBetween(axisWorld(facts, joint, axis), bone) > limit;
  }).length;
}

function isAlongWorld(axis: Vec3): boolean {
  return axis.some((part) => Math.abs(part) >= Math.cos(radians(ALIGNED_DEGREES)));
}

/** Largest share of frames that have one orientation in common. */
function sharedOrientation(all: readonly Frame[]): number {
  // If a share above MOST exists, most joints belong to it: three well spread ones find it.
  const alike = [0.25, 0.5, 0.75].map((part) => {
    const sample = all[Math.floor(part * all.length)];
    return all.filter((frame) => sample && frameAngle(sample, frame) <= ALIGNED_DEGREES).length;
  });
  return Math.max(...alike) / Math.max(1, all.length);
}

/** The standard's up axis, else the axis nearest to world up on most bones that run near level. */
function chooseUp(
  facts: Facts,
  aim: Axis,
  voters: readonly Voter[],
): Pick<Conventions, 'up' | 'upKnown'> {
  const { up: wanted } = facts.wanted;
  if (wanted !== null && wanted.index !== aim.index) return { up: wanted, upKnown: true };
  const choices = ALL_AXES.filter((axis) => axis.index !== aim.index);
  const upward = voters
    .filter(({ bone }) => Math.abs(bone[1]) <= Math.SQRT1_2)
    .map(({ joint }) => choices.find((axis) => axisWorld(facts, joint, axis)[1] > Math.SQRT1_2));
  const up = choices.find(
    (axis) => upward.filter((other) => other === axis).length > 0.6 * upward.length,
  );
  // Where nothing tells: +Y, or +Z where the aim runs along Y.
  return { up: up ?? { index: aim.index === 1 ? 2 : 1, sign: 1 }, upKnown: up !== undefined };
}
