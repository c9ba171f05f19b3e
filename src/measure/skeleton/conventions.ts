import { angleBetween } from '../../rig/vec3.js';
import { ALL_AXES, type Axis, axisName, type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, movingChildren } from './body-root.js';
import { boneDirection } from './bones.js';
import { axisWorld, type Frame, frameAngle, frames, squareTo } from './frames.js';
import { axisAlong, limbSigns } from './limb-signs.js';
import { pairs } from './pairs.js';

/** The frames of a rig, as read off it or as the standard asks. */
export interface Conventions {
  /** `unknown` when no joint has a bone to aim along. */
  readonly kind: 'aimed' | 'world-aligned' | 'mixed' | 'unknown';
  /** The aim axis of joints in the middle, on the left and on the right. */
  readonly aim: { readonly middle: Axis; readonly left: Axis; readonly right: Axis } | null;
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
  const ballot: Ballot = { voters, branching: findBranchingVoters(facts), side: pairs(facts).side };
  const asked = wanted === null ? null : winner(ballot, [wanted]);
  // A few joints off the standard's axis are each told; a rig laid to another one is told once.
  const kept =
    asked === null
      ? 0
      : asked.votes + turnedVotes(facts, voters, asked.aim, limbSigns(facts, asked.aim));
  const missed = asked !== null && voters.length >= QUORUM && kept * 2 <= voters.length;
  const best = asked === null || missed ? winner(ballot, ALL_AXES) : asked;
  const { up, known } = chooseUp(facts, best.aim.middle, voters);
  const limbSign = limbSigns(facts, best.aim);
  const votes = best.votes + turnedVotes(facts, voters, best.aim, limbSign);
  return {
    kind: asked === null || missed ? kindOf(facts, voters, votes) : 'aimed',
    aim: best.aim,
    up,
    upKnown: known,
    source: asked === null || missed ? 'vote' : 'standard',
    missed: missed ? wanted : null,
    votes,
    voters: voters.length,
    limbSign,
  };
});

/** How many votes for the aim axis the limbs add that keep to the other sign, less those they take. */
function turnedVotes(
  facts: Facts,
  voters: readonly Voter[],
  aim: Elected['aim'],
  limbSign: Int8Array,
): number {
  const { side } = pairs(facts);
  let turned = 0;
  for (const { joint, axis } of voters) {
    const expected = aim[side[joint] ?? 'middle'];
    if (limbSign[joint] === -1 && axis !== NO_AXIS && axis.index === expected.index)
      turned += axis.sign === expected.sign ? -1 : 1;
  }
  return turned;
}

interface Ballot {
  readonly voters: readonly Voter[];
  readonly branching: readonly BranchingVoter[];
  readonly side: ReturnType<typeof pairs>['side'];
}

interface Elected {
  readonly aim: NonNullable<Conventions['aim']>;
  readonly votes: number;
}

/** The one of these axes, with the same or the other sign on one side, that most joints vote for. */
function winner({ voters, branching, side }: Ballot, axes: readonly Axis[]): Elected {
  let best = { aim: threeSides(axes[0] ?? NO_AXIS), votes: 0, score: -1 };
  for (const axis of axes) {
    for (const aim of [threeSides(axis), threeSides(axis, 'right'), threeSides(axis, 'left')]) {
      const expected = (joint: number): Axis => aim[side[joint] ?? 'middle'];
      const votes = voters.filter(({ joint, axis: own }) => sameAs(own, expected(joint))).length;
      const backed = branching.filter((item) =>
        item.axes.some((own) => sameAs(own, expected(item.joint))),
      );
      const score = votes + BRANCHING_VOTE * backed.length;
      if (score > best.score) best = { aim, votes, score };
    }
  }
  return best;
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
function findBranchingVoters(facts: Facts): BranchingVoter[] {
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
}

const NO_AXIS: Axis = { index: 0, sign: 1 };

function threeSides(
  axis: Axis,
  flipped?: 'left' | 'right',
): { middle: Axis; left: Axis; right: Axis } {
  const other: Axis = { index: axis.index, sign: axis.sign > 0 ? -1 : 1 };
  return {
    middle: axis,
    left: flipped === 'left' ? other : axis,
    right: flipped === 'right' ? other : axis,
  };
}

function sameAs(own: Axis, expected: Axis): boolean {
  return own !== NO_AXIS && own.index === expected.index && own.sign === expected.sign;
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
  const { movesBelow } = skinMass(facts);
  const all = frames(facts).filter((_, joint) => movesBelow[joint] === 1);
  return (
    all.filter((own) => squareTo(WORLD, own, ALIGNED_DEGREES) !== null).length /
    Math.max(1, all.length)
  );
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
  const { movesBelow } = skinMass(facts);
  const all = frames(facts).filter((_, joint) => movesBelow[joint] === 1);
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
function chooseUp(facts: Facts, aim: Axis, voters: readonly Voter[]): { up: Axis; known: boolean } {
  const { up } = facts.wanted;
  if (up !== null && up.index !== aim.index) return { up, known: true };
  const choices = ALL_AXES.filter((axis) => axis.index !== aim.index);
  const tally = new Map<string, { axis: Axis; votes: number }>();
  let level = 0;
  for (const { joint, child } of voters) {
    const bone = boneDirection(facts, joint, child);
    if (bone === null || Math.abs(bone[1]) > Math.SQRT1_2) continue;
    level++;
    const axis = choices.find((item) => axisWorld(facts, joint, item)[1] > Math.SQRT1_2);
    if (axis === undefined) continue;
    const entry = tally.get(axisName(axis)) ?? { axis, votes: 0 };
    entry.votes++;
    tally.set(axisName(axis), entry);
  }
  const winner = [...tally.values()].sort((a, b) => b.votes - a.votes)[0];
  if (winner !== undefined && winner.votes > 0.6 * level) return { up: winner.axis, known: true };
  // Nothing tells: take +Y, or +Z where the aim runs along Y.
  return { up: { index: aim.index === 1 ? 2 : 1, sign: 1 }, known: false };
}
