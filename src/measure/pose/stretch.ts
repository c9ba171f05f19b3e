import { groupBy } from '../../rig/group-by.js';
import {
  compose,
  identity,
  invert,
  type Mat4,
  mat4At,
  multiply,
  origin,
  transformPoint,
} from '../../rig/mat4.js';
import { spreadDown } from '../../rig/tree.js';
import type { Clip, ClipChannel, Rig } from '../../rig/types.js';
import { length, type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { boneLengths } from '../skeleton/bones.js';
import { isEye } from '../skeleton/eyes.js';
import { rigidJoints } from '../skin/rigid-skin.js';
import { skinMass } from '../skin/skin-mass.js';
import { bonePose } from './bone-pose.js';
import { sampleNode, sampleTimes } from './clip-sampling.js';

/** The strongest stretch of one bone by any clip. */
export interface Stretch {
  /** The joint at the far end of the bone. */
  readonly joint: number;
  readonly clip: string;
  /** Seconds. */
  readonly time: number;
  /** Bone length in the bind pose and at that time; world units. */
  readonly built: number;
  readonly stretched: number;
  /** Change in percent of the larger of the built length and 2 % of size. */
  readonly percent: number;
  /** Clips by their place in the rig's list, each with its largest change in percent. */
  readonly byClip: ReadonlyMap<number, number>;
}

/** Shorter bones count as this share of size: any move of joints on each other would be huge. */
const LEAST_BONE = 0.02;
/** A smaller change is rounding of keys. Percent. */
const ROUNDING = 0.01;

/**
 * Bone length at every key of every channel that moves a joint against its parent joint (its own
 * translation, all of a spacer between them), and between keys. Lengths are compared in the
 * parent's own frame, so that no scale above the rig counts. `watched` joints may not leave their
 * place.
 */
export const stretches = fact((facts): { watched: number; list: readonly Stretch[] } => {
  const { rig } = facts;
  const watched = watchedJoints(facts);
  const worst = new Map<number, Stretch>();
  rig.clips.forEach((clip, index) => {
    for (const moved of movedJoints(rig, clip, watched)) {
      const found = stretchOf(facts, moved);
      if (found === null) continue;
      const before = worst.get(moved.joint);
      const byClip = new Map(before?.byClip).set(index, found.percent);
      const isWorse = before === undefined || found.percent > before.percent;
      const strongest = isWorse ? { ...found, joint: moved.joint, clip: clip.name } : before;
      worst.set(moved.joint, { ...strongest, byClip });
    }
  });
  const list = [...worst.values()]
    .filter(({ joint, percent }) => percent > ROUNDING && !travels(facts, joint))
    .sort((a, b) => a.joint - b.joint);
  return { watched: watched.reduce((sum, value) => sum + value, 0), list };
});

/** A joint that a clip moves against its parent joint. */
export interface Moved {
  readonly joint: number;
  /** Nodes from below the parent joint down to the joint. */
  readonly run: readonly number[];
  readonly channels: ReadonlyMap<number, readonly ClipChannel[]>;
}

/** Watched joints that a clip moves against their parents, with the channels that do. */
export function movedJoints(rig: Rig, clip: Clip, watched: Uint8Array): Moved[] {
  const { joints } = rig;
  const byNode = groupBy(clip.channels, (channel) => channel.node);
  return Array.from(joints.node).flatMap((node, joint): Moved[] => {
    if (watched[joint] !== 1) return [];
    const run = [...(joints.spacers[joint] ?? []), node];
    const channels = new Map<number, readonly ClipChannel[]>();
    for (const above of run) {
      const ofNode = byNode.get(above) ?? [];
      const moving = ofNode.filter(({ path }) => above !== node || path === 'translation');
      if (moving.length > 0) channels.set(above, moving);
    }
    return channels.size === 0 ? [] : [{ joint, run, channels }];
  });
}

type Found = Omit<Stretch, 'joint' | 'clip' | 'byClip'>;

function stretchOf(facts: Facts, moved: Moved): Found | null {
  const { joint, channels } = moved;
  const built = boneLengths(facts)[joint] ?? 0;
  const bone = boneAtRest(facts, joint);
  if (bone === null) return null;
  const { unit, reference } = bone;
  let found: Found | null = null;
  for (const time of sampleTimes([...channels.values()].flat())) {
    const stretched = unit * length(placeAt(facts.rig, moved, time));
    const percent = (100 * Math.abs(stretched - built)) / reference;
    if (percent > (found?.percent ?? 0)) found = { time, built, stretched, percent };
  }
  return found;
}

/** A bone in the bind pose, as its parent joint sees it. */
interface BoneAtRest {
  /** Where the joint is in the frame of its parent. */
  readonly place: Vec3;
  /** World units of one unit of that frame along the bone. */
  readonly unit: number;
  /** What changes of its length are relative to; world units. */
  readonly reference: number;
}

/** Null for a joint whose bone was not built in one skin, or of no length beside no size. */
export function boneAtRest(facts: Facts, joint: number): BoneAtRest | null {
  const built = boneLengths(facts)[joint] ?? 0;
  const reference = Math.max(built, LEAST_BONE * size(facts));
  const { world, apart } = bonePose(facts);
  const parent = facts.rig.joints.parent[joint] ?? -1;
  const back = parent === -1 || apart[joint] === 1 ? null : invert(mat4At(world, parent));
  if (back === null || !(reference > 0)) return null;
  const place = transformPoint(back, origin(mat4At(world, joint)));
  const local = length(place);
  return { place, unit: local > 0 && built > 0 ? built / local : 1, reference };
}

/** Where the last node of a run is at a time, in the frame that the first one hangs in. */
export function placeAt(
  { nodes }: Pick<Rig, 'nodes'>,
  { run, channels }: Pick<Moved, 'run' | 'channels'>,
  time: number,
): Vec3 {
  const [only = -1, ...others] = run;
  const moving = channels.get(only);
  // The last node's turn and scale do not move it.
  if (others.length === 0 && moving !== undefined)
    return vec3At(sampleNode(nodes, only, moving, time).translation, 0);
  return origin(runAt({ nodes }, { run, channels }, time));
}

/** The product of the local matrices of a run of nodes, from above to below, at a time. */
export function runAt(
  { nodes }: Pick<Rig, 'nodes'>,
  { run, channels }: Pick<Moved, 'run' | 'channels'>,
  time: number,
): Mat4 {
  return run.reduce((matrix, node) => {
    const moving = channels.get(node);
    if (moving === undefined) return multiply(matrix, mat4At(nodes.local, node));
    const { translation, rotation, scale } = sampleNode(nodes, node, moving, time);
    return multiply(matrix, compose(translation, rotation, scale));
  }, identity());
}

/**
 * Skin-moving joints below the body root; and where the mapping puts that lower, those below the
 * first joint that moves skin all the same. Joints that travel are left out: those hung on a
 * carrier (nothing at or above their parent moves skin).
 */
function watchedJoints(facts: Facts): Uint8Array {
  const { joints } = facts.rig;
  const { movesAbove, movesBelow } = skinMass(facts);
  const { joint: root, first } = bodyRoot(facts);
  const onRoot = joints.parent.map((parent) =>
    parent !== -1 && (parent === root || parent === first) ? 1 : 0,
  );
  const below = spreadDown(joints, Uint8Array.from(onRoot));
  return below.map((isBelow, joint) => {
    // The hips of a mapping travel (VRM 1.0, `humanoid.md`, Torso: "Usually only this bone moves").
    if (isBelow === 0 || joint === root) return 0;
    const parent = joints.parent[joint] ?? -1;
    return movesAbove[parent] === 1 && movesBelow[joint] === 1 ? 1 : 0;
  });
}

/** Whether a joint may travel: an eye, or a rigid piece on a rigid piece or on none (a machine). */
function travels(facts: Facts, joint: number): boolean {
  const rigid = rigidJoints(facts);
  const parent = facts.rig.joints.parent[joint] ?? -1;
  const onPiece = rigid[parent] === 1 || skinMass(facts).moves[parent] === 0;
  return (rigid[joint] === 1 && onPiece) || isEye(facts, joint);
}
