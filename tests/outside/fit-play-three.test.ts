// Source: three.js (npm `three`): `GLTFLoader` reads both files, `AnimationMixer` plays the clips of the
// approved one on either by the names of its nodes, and `SkinnedMesh.applyBoneTransform` skins the vertices
// (see `skins-in-three.ts`). Angles are those of `Vector3.angleTo`.
import {
  type AnimationClip,
  AnimationMixer,
  DetachedBindMode,
  type Object3D,
  Vector3,
  VectorKeyframeTrack,
} from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { times } from '../../fixtures/kit/vectors.js';
import { carriedClips } from '../../src/measure/fit/clip-carry.js';
import { MOST_TIMES, played } from '../../src/measure/fit/play.js';
import { playTimes } from '../../src/measure/fit/play-both.js';
import { playStage } from '../../src/measure/fit/play-stage.js';
import { changed, factsBeside, soundAsset } from '../support/beside-approved.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** % of size: 1e-5 of it. */
const PLACE = 1e-3;
/** Degrees: what 1e-5 of size turns a bone of a twentieth of size by. */
const ANGLE = (360 / (2 * Math.PI)) * 20 * 1e-5;

/** A rig that was delivered, and how it differs from the approved one of the same name. */
interface Delivery {
  readonly tells: string;
  readonly cast: CastName;
  readonly change: (puppet: Puppet) => void;
  readonly options?: BuildOptions;
  /** What the moves of clips are scaled with, since the rig is so much larger. */
  readonly larger?: number;
}

const deliveries: readonly Delivery[] = [
  {
    tells: 'a heron with a turned neck frame',
    cast: 'heron',
    change: (puppet) => puppet.turnFrame('neck_low', 'side', 17),
  },
  {
    tells: 'a heron with frames of another convention',
    cast: 'heron',
    change: () => {},
    options: { convention: { aim: '-X', up: '+Z', mirror: 'negate-all' } },
  },
  {
    tells: 'a marionette that is a fifth larger and is stored bent in the arms',
    cast: 'marionette',
    change: (puppet) => {
      for (const joint of puppet.joints) joint.position = times(joint.position, 1.2);
      for (const part of puppet.parts) part.positions = part.positions.map((p) => times(p, 1.2));
      puppet.pose('forearm_R', 'up', 14);
      puppet.pose('collarbone_L', 'side', 6);
    },
    larger: 1.2,
  },
  {
    tells: 'a caterpillar with longer rings',
    cast: 'caterpillar',
    change: (puppet) => {
      puppet.moveJoint('head', [0, 0.01, 0.03]);
      puppet.moveJoint('ring_back_2', [0.02, 0, 0]);
    },
  },
];

/** A file in three.js, with the node of each joint that is compared. */
class Posed {
  private readonly top: Object3D;
  private readonly mixer: AnimationMixer;

  constructor(
    private readonly scene: LoadedScene,
    private readonly nodes: readonly number[],
  ) {
    let top: Object3D | undefined = scene.meshes[0]?.object;
    while (top?.parent != null) top = top.parent;
    if (top === undefined) throw new Error('three.js loaded no mesh');
    this.top = top;
    this.mixer = new AnimationMixer(top);
    for (const { object } of scene.meshes) object.bindMode = DetachedBindMode;
  }

  play(clip: AnimationClip): void {
    this.mixer.stopAllAction();
    this.mixer.clipAction(clip).play();
  }

  /** Places of the joints at a time, seconds. */
  at(time: number, duration: number): Vector3[] {
    // At its very end a clip begins anew.
    this.mixer.setTime(Math.min(time, duration - 1e-7));
    this.top.updateMatrixWorld(true);
    return this.nodes.map((node) => {
      const object = this.scene.nodes.get(node);
      if (object === undefined) throw new Error(`three.js has no node ${node}`);
      return new Vector3().setFromMatrixPosition(object.matrixWorld);
    });
  }

  skin(): Vector3[] {
    return this.scene.meshes.flatMap(({ object }) => {
      const stored = object.geometry.getAttribute('position');
      return Array.from({ length: stored.count }, (_, vertex) =>
        object.applyBoneTransform(vertex, new Vector3().fromBufferAttribute(stored, vertex)),
      );
    });
  }
}

/** The clip with its moves made as much larger as the rig is. */
function grown(clip: AnimationClip, by: number): AnimationClip {
  const copy = clip.clone();
  copy.tracks = copy.tracks.map((track) =>
    track instanceof VectorKeyframeTrack && track.name.endsWith('.position')
      ? new VectorKeyframeTrack(
          track.name,
          track.times,
          track.values.map((value) => by * value),
          track.getInterpolation(),
        )
      : track,
  );
  return copy;
}

describe.each(deliveries)('$tells', ({ cast, change, options = {}, larger = 1 }) => {
  test('shows in three.js what is measured, at every joint', async () => {
    const bytes = changed(cast, change, options);
    const facts = await factsBeside(bytes, await soundAsset(cast));
    const stage = playStage(facts);
    const result = played(facts);
    if (stage === null || result === null) throw new Error('the rigs have no joint in common');
    const [theirs, ours] = [await loadInThree(buildGlb(cast)), await loadInThree(bytes)];
    const nodesOf = (rig: typeof facts.rig, joints: Int32Array): number[] =>
      Array.from(joints, (joint) => rig.joints.node[joint] ?? -1);
    const a = new Posed(theirs, nodesOf(stage.approved.rig, stage.theirs));
    const c = new Posed(ours, nodesOf(facts.rig, stage.ours));
    const count = stage.theirs.length;
    const [angle, away] = [new Float64Array(count), new Float64Array(count)];
    let skin = 0;
    const carried = carriedClips(facts);
    expect(carried).toHaveLength(theirs.clips.length);
    for (const [index, clip] of theirs.clips.entries()) {
      a.play(clip);
      c.play(grown(clip, larger));
      const own = carried[index];
      if (own === undefined) throw new Error('a clip is not carried');
      let began: Vector3 | null = null;
      for (const time of playTimes(own, MOST_TIMES)) {
        const [pa, pc] = [a.at(time, clip.duration), c.at(time, clip.duration)];
        for (const place of pc) place.divideScalar(larger);
        const [ra, rc] = [pa[stage.root], pc[stage.root]];
        if (ra === undefined || rc === undefined) throw new Error('no root');
        const apart = rc.clone().sub(ra);
        began ??= apart;
        for (let at = 0; at < count; at++) {
          const [to, too] = [pa[at], pc[at]];
          if (to === undefined || too === undefined) continue;
          const off =
            at === stage.root
              ? apart.distanceTo(began)
              : too.clone().sub(rc).distanceTo(to.clone().sub(ra));
          away[at] = Math.max(away[at] ?? 0, (100 * off) / stage.size);
          const [from, fro] = [pa[stage.from[at] ?? -1], pc[stage.from[at] ?? -1]];
          if (from === undefined || fro === undefined) continue;
          const turned = to.clone().sub(from).angleTo(too.clone().sub(fro));
          angle[at] = Math.max(angle[at] ?? 0, (180 * turned) / Math.PI);
        }
        const [sa, sc] = [a.skin(), c.skin()];
        for (const [vertex, place] of sc.entries()) {
          const off = place
            .divideScalar(larger)
            .sub(rc)
            .distanceTo((sa[vertex] ?? ra).clone().sub(ra));
          skin = Math.max(skin, (100 * off) / stage.size);
        }
      }
    }
    const shown = new Map(result.list.map((entry) => [entry.joint, entry]));
    const off = Array.from(stage.ours, (joint, at) => ({
      place: Math.abs((shown.get(joint)?.place?.value ?? 0) - (away[at] ?? 0)),
      bone: Math.abs((shown.get(joint)?.bone?.value ?? 0) - (angle[at] ?? 0)),
    }));
    // What is compared is there to be seen.
    expect(Math.max(...angle)).toBeGreaterThan(5);
    expect(Math.max(...away)).toBeGreaterThan(1);
    expect(Math.max(...off.map(({ place }) => place))).toBeLessThan(PLACE);
    expect(Math.max(...off.map(({ bone }) => bone))).toBeLessThan(ANGLE);
    // Some vertices are watched, of which the worst is near the worst of all.
    const watched = Math.max(...result.list.map((entry) => entry.skin?.value ?? 0));
    expect(watched).toBeLessThan(skin + PLACE);
    expect(watched).toBeGreaterThan(0.8 * skin);
  });
});
