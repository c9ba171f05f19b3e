import { type Quaternion, rotate } from '../../rig/quaternion.js';
import type { Rig } from '../../rig/types.js';
import type { Facts } from '../facts.js';
import { sampleChannel, sampleTimes } from '../pose/clip-sampling.js';
import type { CarriedClip } from './clip-carry.js';
import { boneAngle, distanceAt, mirrorPlaces, originsOf } from './play-places.js';
import { PlayPose } from './play-pose.js';
import { type PlaySkin, playSkin } from './play-skin.js';
import { leastBone, type PlayStage } from './play-stage.js';
import type { PlayKind, PlayWorst } from './play-worst.js';
import { skinProbes } from './skin-probes.js';
import { NO_TURN } from './whole-turn.js';

/** By so much the bones must agree better before a less likely turn counts. Mean, degrees. */
const CLEARLY = 1;

/** At most so many of the times at which a clip is looked at, evenly spread. */
export function playTimes({ channels }: CarriedClip, most: number): number[] {
  const all = sampleTimes(channels);
  if (all.length <= most) return all;
  const step = (all.length - 1) / (most - 1);
  return Array.from({ length: most }, (_, at) => all[Math.round(at * step)] ?? 0);
}

/** Both rigs on one stage, and room for what is measured of one pose. */
export class PlayBoth {
  /** The approved rig, and the one that is compared. */
  private readonly rigs: readonly [Rig, Rig];
  private readonly theirNodes: Int32Array;
  private readonly ourNodes: Int32Array;
  private readonly skin: PlaySkin;
  /** All nodes whose matrices are needed. */
  private readonly theirAsked: ReadonlySet<number>;
  private readonly ourAsked: ReadonlySet<number>;
  /** x, y, z of each joint of the stage, then of each vertex watched: seen from the body root. */
  private readonly theirPlaces: Float64Array;
  private readonly ourPlaces: Float64Array;
  /** Those of this rig, in its own world. */
  private readonly ourWorld: Float64Array;

  constructor(
    facts: Facts,
    private readonly stage: PlayStage,
  ) {
    const { approved, theirs, ours } = stage;
    this.theirNodes = theirs.map((joint) => approved.rig.joints.node[joint] ?? 0);
    this.ourNodes = ours.map((joint) => facts.rig.joints.node[joint] ?? 0);
    this.skin = playSkin(facts, stage);
    this.theirAsked = new Set([...this.theirNodes, ...this.skin.theirs.node]);
    this.ourAsked = new Set([...this.ourNodes, ...this.skin.ours.node]);
    const count = theirs.length + this.skin.of.length;
    this.theirPlaces = new Float64Array(3 * count);
    this.ourPlaces = new Float64Array(3 * count);
    this.ourWorld = new Float64Array(3 * count);
    this.rigs = [approved.rig, facts.rig];
  }

  /** Plays one clip on both, and keeps what is worse than before. */
  play(clip: CarriedClip, index: number, most: number, worst: PlayWorst): void {
    const { stage, skin, theirPlaces, ourWorld } = this;
    const [theirs, ours] = this.rigs;
    const theirPose = new PlayPose(theirs.nodes, clip.onApproved, this.theirAsked);
    const ourPose = new PlayPose(ours.nodes, clip.onRig, this.ourAsked);
    const joints = stage.theirs.length;
    let began: Float64Array | null = null;
    let turnBack: Quaternion | null = null;
    const values = new Float64Array(4 * clip.channels.length);
    const views = clip.channels.map((_, at) => values.subarray(4 * at, 4 * at + 4));
    for (const time of playTimes(clip, most)) {
      for (const [at, channel] of clip.channels.entries())
        sampleChannel(channel, time, views[at] ?? values);
      theirPose.pose(values);
      ourPose.pose(values);
      originsOf(this.theirNodes, theirPose, theirPlaces);
      originsOf(this.ourNodes, ourPose, ourWorld);
      skinProbes(skin.theirs, theirPose, theirPlaces.subarray(3 * joints));
      skinProbes(skin.ours, ourPose, ourWorld.subarray(3 * joints));
      if (stage.mirrored) mirrorPlaces(theirPlaces);
      turnBack ??= this.likelierTurn();
      this.bringBack(turnBack);
      // How far the roots are apart, and how far they were when the clip began.
      const apart = this.seenFromRoot();
      began ??= apart;
      const travel = Math.hypot(...apart.map((value, axis) => value - (began?.[axis] ?? 0)));
      this.measure(travel, (kind, at, value) => worst.keep(kind, at, value, index, time));
    }
  }

  /** Of the turns that bring this rig back, the one that makes the bones of this pose agree best. */
  private likelierTurn(): Quaternion {
    const { turnsBack, from } = this.stage;
    const least = leastBone(this.stage);
    let best: { readonly turn: Quaternion; readonly mean: number } | null = null;
    for (const turn of turnsBack) {
      this.bringBack(turn);
      let [sum, count] = [0, 0];
      for (let at = 0; at < from.length; at++) {
        const start = from[at] ?? -1;
        if (start === -1) continue;
        sum += boneAngle(this.theirPlaces, this.ourPlaces, start, at, least);
        count++;
      }
      const mean = count === 0 ? 0 : sum / count;
      if (best === null || mean < best.mean - CLEARLY) best = { turn, mean };
    }
    return best?.turn ?? NO_TURN;
  }

  /** Turns this rig to how the approved one stands, and makes it as large. */
  private bringBack(turnBack: Quaternion): void {
    const { scale } = this.stage;
    const { ourWorld: world, ourPlaces: places } = this;
    const [xx, xy, xz] = rotate(turnBack, [1 / scale, 0, 0]);
    const [yx, yy, yz] = rotate(turnBack, [0, 1 / scale, 0]);
    const [zx, zy, zz] = rotate(turnBack, [0, 0, 1 / scale]);
    for (let at = 0; at < places.length; at += 3) {
      const x = world[at] ?? 0;
      const y = world[at + 1] ?? 0;
      const z = world[at + 2] ?? 0;
      places[at] = xx * x + yx * y + zx * z;
      places[at + 1] = xy * x + yy * y + zy * z;
      places[at + 2] = xz * x + yz * y + zz * z;
    }
  }

  /** Takes the place of the body root off all places; returns what the two roots were apart. */
  private seenFromRoot(): Float64Array {
    const { root } = this.stage;
    const apart = new Float64Array(3);
    for (const [sign, places] of [
      [-1, this.theirPlaces],
      [1, this.ourPlaces],
    ] as const) {
      const from = places.slice(3 * root, 3 * root + 3);
      for (let at = 0; at < places.length; at++)
        places[at] = (places[at] ?? 0) - (from[at % 3] ?? 0);
      for (let axis = 0; axis < 3; axis++)
        apart[axis] = (apart[axis] ?? 0) + sign * (from[axis] ?? 0);
    }
    return apart;
  }

  private measure(travel: number, keep: (kind: PlayKind, at: number, value: number) => void): void {
    const { stage, skin, theirPlaces: a, ourPlaces: c } = this;
    const joints = stage.theirs.length;
    const least = leastBone(stage);
    const percent = stage.size > 0 ? 100 / stage.size : 0;
    for (let at = 0; at < joints; at++) {
      const away = at === stage.root ? travel : distanceAt(a, c, at);
      keep('place', at, percent * away);
      const from = stage.from[at] ?? -1;
      if (from !== -1) keep('bone', at, boneAngle(a, c, from, at, least));
    }
    for (let probe = 0; probe < skin.of.length; probe++) {
      const at = skin.of[probe] ?? -1;
      if (at !== -1) keep('skin', at, percent * distanceAt(a, c, joints + probe));
    }
  }
}
