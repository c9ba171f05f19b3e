// Source: three.js (npm `three`): `GLTFLoader` reads the files, `AnimationMixer` plays the clips of the
// approved one on either by the names of its nodes, and `SkinnedMesh.applyBoneTransform` skins the vertices
// (see `skins-in-three.ts`). Angles are those of `Vector3.angleTo`.
import { type AnimationClip, AnimationMixer, type Object3D, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import { mendedLike } from '../mend/made-like.js';
import { farthestSkin, MOMENTS } from '../mend/skins-in-three.js';
import { changed, soundAsset } from '../support/beside-approved.js';
import { loadInThree } from '../support/three-scene.js';

const CAST: readonly CastName[] = ['heron', 'mule', 'stag-beetle', 'caterpillar', 'marionette'];

/** Degrees: what numbers of 32 bits leave of a short bone. */
const ROUNDING = 0.01;
/** Share of the figure's reach. */
const SAME = 1e-5;

/** Directions of all bones, by the name of the joint that each ends at, at some moments of some clips. */
async function bonesIn(bytes: Uint8Array, clips: readonly AnimationClip[]) {
  const { meshes } = await loadInThree(bytes);
  const bones = meshes[0]?.object.skeleton.bones ?? [];
  let top: Object3D | undefined = bones[0];
  while (top?.parent != null) top = top.parent;
  if (top === undefined) throw new Error('three.js loaded no joint');
  const mixer = new AnimationMixer(top);
  const found = new Map<string, Vector3>();
  for (const clip of clips) {
    mixer.stopAllAction();
    mixer.clipAction(clip).play();
    for (const moment of MOMENTS) {
      mixer.setTime(moment * clip.duration);
      top.updateMatrixWorld(true);
      for (const bone of bones) {
        if (bone.parent === null || !bones.some((other) => other === bone.parent)) continue;
        const [from, to] = [bone.parent, bone].map((object) =>
          new Vector3().setFromMatrixPosition(object.matrixWorld),
        );
        if (from && to) found.set(`${clip.name} ${moment} ${bone.name}`, to.sub(from));
      }
    }
  }
  return found;
}

/** The largest angle between bones of the same name, degrees; all of the first must be in the second. */
async function farthestBone(
  approved: Uint8Array,
  bytes: Uint8Array,
  clips: readonly AnimationClip[],
): Promise<number> {
  const [theirs, ours] = [await bonesIn(approved, clips), await bonesIn(bytes, clips)];
  expect(theirs.size).toBeGreaterThan(0);
  let most = 0;
  for (const [key, bone] of theirs) {
    const own = ours.get(key);
    // A bone that is not there under its name is as far off as can be.
    most = Math.max(most, own === undefined ? 180 : (180 * bone.angleTo(own)) / Math.PI);
  }
  return most;
}

describe.each(CAST)('%s with other axes and the names of left and right exchanged', (name) => {
  test('plays the approved clips in three.js as the approved one once it is made like it', async () => {
    const delivered = changed(
      name,
      (puppet) => {
        for (const joint of puppet.joints)
          joint.label = joint.name.replace(/_[LR]$/, (side) => (side === '_L' ? '_R' : '_L'));
      },
      { convention: { aim: '-X', up: '+Z', mirror: 'negate-all' } },
    );
    const approved = buildGlb(name);
    const { clips } = await loadInThree(approved);
    expect(clips.length).toBeGreaterThan(0);
    const { files } = await mendedLike(delivered, await soundAsset(name));
    expect(await farthestBone(approved, delivered, clips)).toBeGreaterThan(5);
    expect(await farthestBone(approved, files.main, clips)).toBeLessThan(ROUNDING);
    // Its own clips and the pose that it is stored in look as they did.
    expect(await farthestSkin(delivered, files.main)).toBeLessThan(SAME);
  });
});
