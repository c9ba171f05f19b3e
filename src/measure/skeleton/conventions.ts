import { angleBetween } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact, sameAxis } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { axisWorld, type Frame, frameAngle, frames, squareTo } from './frames.js';
import { axisAlong, limbSigns, type ThreeSides } from './limb-signs.js';
import { pairs } from './pairs.js';

/** The frames of a rig, as read off it or as the standard asks. */
export interface Conventions {
  /** `unknown` when no joint has a bone to aim along. */
  readonly kind: 'aimed' | 'world-aligned' | 'mixed' | 'unknown';
  readonly aim: ThreeSides | null;
  /** The second axis of the frame: the standard's, else the one nearest to up on level bones. */
  readonly up: Axis | null;
  /** Whether `up` was asked for or seen; if not it is only a name for one of two equal choices. */
  readonly upKnown: boolean;
  readonly source: 'standard' | 'vote';
  /**
   * The aim axis that the standard asks for, when most of the rig keeps to another one: the rig is
   * then held to its own axis, and told once to be laid to the wrong one.
   */
  readonly missed: Axis | null;
  /** Joints whose bone lies nearest to the aim axis, and joints that had a vote. */
  readonly votes: number;
  readonly voters: number;
  /**
   * -1 for the joints of a paired limb that keeps to the other sign of its side's aim axis (+X in the
   * arms, -X in the legs), on both sides of the body; 1 for all others.
   */
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

/**
 * Reads the conventions off the rig by vote: every joint that has one child joint to aim at votes
 * for the signed axis nearest to its bone. A side that mirrors may carry the other sign.
 */
export const conventions = fact((facts): Conventions => {
  const voters = findVoters(facts);
  const wanted = facts.wanted.aim;
  if (voters.length === 0 && wanted === null) {
    return {
      kind: 'unknown',
      aim: null,
      up: null,
      upKnown: false,
      source: 'vote',
      missed: null,
      votes: 0,
      voters: 0,
      limbSign: new Int8Array(facts.rig.joints.count).fill(1),
    };
  }
  const asked = wanted === null ? null : winner(facts, voters, [wanted]);
  // A few joints off the standard's axis are each told; a rig laid to another one is told once.
  const missed = asked !== null && voters.length >= QUORUM && asked.votes * 2 <= voters.length;
  const isVoted = asked === null || missed;
  const best = isVoted ? winner(facts, voters, ALL_AXES) : asked;
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
function winner(facts: Facts, voters: readonly Voter[], axes: readonly Axis[]): Elected {
  const { side } = pairs(facts);
  let best = { aim: threeSides(axes[0] ?? NO_AXIS), votes: 0, score: -1 };
  for (const axis of axes) {
    for (const aim of [threeSides(axis), threeSides(axis, 'right'), threeSides(axis, 'left')]) {
      const expected = (joint: number): Axis => aim[side[joint] ?? 'middle'];
      const votes = voters.filter(({ joint, axis: own }) => sameAs(own, expected(joint))).length;
      const backed = branchingVoters(facts).filter((item) =>
        item.axes.some((own) => sameAs(own, expected(item.joint))),
      );
      const score = votes + BRANCHING_VOTE * backed.length;
      if (score > best.score) best = { aim, votes, score };
    }
  }
  const { aim } = best;
  let { votes } = best;
  // Limbs that keep to the other sign add their votes, less those that they take.
  const limbSign = limbSigns(facts, aim);
  for (const { joint, axis } of voters) {
    const expected = aim[side[joint] ?? 'middle'];
    if (limbSign[joint] === -1 && axis !== NO_AXIS && axis.index === expected.index)
      votes += axis.sign === expected.sign ? -1 : 1;
  }
  return { aim, votes, limbSign };
}

interface Voter {
  readonly joint: number;
  readonly child: number;
  readonly axis: Axis;
}

function findVoters(facts: Facts): Voter[] {
  const { movesBelow } = skinMass(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  const voters: Voter[] = [];
  for (let joint = 0; joint < facts.rig.joints.count; joint++) {
    if (movesBelow[joint] === 0 || carriers.has(joint)) continue;
    const children = facts.rig.joints.children[joint] ?? [];
    const child = children[0];
    if (children.length !== 1 || child === undefined) continue;
    if (boneDirection(facts, joint, child) === null) continue;
    // A bone between three axes votes for none, but counts among those asked.
    voters.push({ joint, child, axis: axisAlong(facts, joint, child) ?? NO_AXIS });
  }
  return voters;
}

interface BranchingVoter {
  readonly joint: number;
  /** Axes that point at one of its child joints. */
  readonly axes: readonly Axis[];
}

/**
 * Joints with several children cannot say which they aim at. Each backs every axis that points at
 * one of those that move skin, for less than a full vote: on a body with legs at every ring few
 * joints have a single child.
 */
const branchingVoters = fact((facts): readonly BranchingVoter[] => {
  const carriers = new Set(bodyRoot(facts).carriers);
  return Array.from({ length: facts.rig.joints.count }, (_, joint) => joint).flatMap((joint) => {
    if ((facts.rig.joints.children[joint] ?? []).length < 2 || carriers.has(joint)) return [];
    const bones = movingChildren(facts, joint).flatMap((child) => {
      const bone = boneDirection(facts, joint, child);
      return bone === null ? [] : [bone];
    });
    const axes = ALL_AXES.filter((axis) => {
      const pointing = axisWorld(facts, joint, axis);
      return bones.some((bone) => angleBetween(pointing, bone) < BACKED_DEGREES);
    });
    return axes.length === 0 ? [] : [{ joint, axes }];
  });
});

const NO_AXIS: Axis = { index: 0, sign: 1 };

function threeSides(axis: Axis, flipped?: 'left' | 'right'): ThreeSides {
  const other: Axis = { index: axis.index, sign: axis.sign > 0 ? -1 : 1 };
  return {
    middle: axis,
    left: flipped === 'left' ? other : axis,
    right: flipped === 'right' ? other : axis,
  };
}

function sameAs(own: Axis, expected: Axis): boolean {
  return own !== NO_AXIS && sameAxis(own, expected);
}

/**
 * World-aligned goes before aimed when most joints share one orientation, unless the bones run
 * straight along one signed axis of it: a straight chain is both, and is meant to be aimed. (A figure with
 * its arms held out level aims X on one side and -X on the other by accident.)
 */
function kindOf(facts: Facts, voters: readonly Voter[], votes: number): Conventions['kind'] {
  const single = Math.max(
    ...ALL_AXES.map((axis) => voters.filter((voter) => sameAs(voter.axis, axis)).length),
  );
  const straight = single > MOST * voters.length && missing(facts, voters) <= voters.length / 3;
  if (!straight && sharedOrientation(facts) > MOST) return 'world-aligned';
  if (missing(facts, voters) > FEW * voters.length && squareToWorld(facts) > NEARLY_ALL)
    return 'world-aligned';
  // Of a few joints, none laid along its bone, nothing is a convention: a box and its lid.
  if (voters.length < QUORUM && !isNearlyLaid(facts, voters)) return 'unknown';
  return votes * 2 > voters.length || voters.length < QUORUM ? 'aimed' : 'mixed';
}

/** A frame that is farther off its bone was never meant to run along it. Degrees. */
const NEARLY_DEGREES = 30;

function isNearlyLaid(facts: Facts, voters: readonly Voter[]): boolean {
  return missing(facts, voters, NEARLY_DEGREES) < voters.length;
}

/** Above this share of joints, frames square to the world are no accident. */
const NEARLY_ALL = 0.9;
/** In a rig that is laid along its bones no more than these miss them: each a fault. Share of joints. */
const FEW = 0.15;

/**
 * Share of the skin-moving joints whose frame is square to the world, by quarter and half turns: laid to
 * the world joint by joint, as when a pose is made the rest pose, whatever way the bones run.
 */
function squareToWorld(facts: Facts): number {
  const all = movingFrames(facts);
  const square = all.filter((own) => squareTo(WORLD, own, ALIGNED_DEGREES) !== null);
  return square.length / Math.max(1, all.length);
}

/** The frames of joints that move skin, themselves or below. */
function movingFrames(facts: Facts): Frame[] {
  const { movesBelow } = skinMass(facts);
  return frames(facts).filter((_, joint) => movesBelow[joint] === 1);
}

const WORLD: Frame = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** Joints whose bone is off the axis it is nearest to: frames that were not laid along the bones. */
function missing(facts: Facts, voters: readonly Voter[], within = LAID_DEGREES): number {
  return voters.filter(({ joint, child, axis }) => {
    const bone = boneDirection(facts, joint, child);
    return bone !== null && angleBetween(axisWorld(facts, joint, axis), bone) > within;
  }).length;
}

/** Largest share of the joints that have one orientation in common. */
function sharedOrientation(facts: Facts): number {
  const all = movingFrames(facts);
  // If a share above MOST exists, most joints belong to it: three well spread ones find it.
  const samples = [0.25, 0.5, 0.75].map((part) => all[Math.floor(part * all.length)]);
  const shares = samples.map((sample) => {
    return sample === undefined
      ? 0
      : all.filter((item) => frameAngle(sample, item) <= ALIGNED_DEGREES).length;
  });
  return Math.max(...shares) / Math.max(1, all.length);
}

/** The up axis: asked for, else the axis nearest to world up on most bones that run near level. */
function chooseUp(
  facts: Facts,
  aim: Axis,
  voters: readonly Voter[],
): Pick<Conventions, 'up' | 'upKnown'> {
  const { up: wanted } = facts.wanted;
  if (wanted !== null && wanted.index !== aim.index) return { up: wanted, upKnown: true };
  const choices = ALL_AXES.filter((axis) => axis.index !== aim.index);
  const level = voters.filter(({ joint, child }) => {
    const bone = boneDirection(facts, joint, child);
    return bone !== null && Math.abs(bone[1]) <= Math.SQRT1_2;
  });
  const upward = level.map(({ joint }) =>
    choices.find((axis) => axisWorld(facts, joint, axis)[1] > Math.SQRT1_2),
  );
  const up = choices.find(
    (axis) => upward.filter((own) => own === axis).length > 0.6 * level.length,
  );
  // Where nothing tells: +Y, or +Z where the aim runs along Y.
  return { up: up ?? { index: aim.index === 1 ? 2 : 1, sign: 1 }, upKnown: up !== undefined };
}
