import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { ClipPose, sampleTimes } from '../../src/measure/pose/clip-sampling.js';
import { SkinPose } from '../../src/mend/proof/proof-pose.js';
import { mat4At } from '../../src/rig/mat4.js';
import { rigOf } from '../support/facts-of.js';

it.each(['heron', 'mule', 'stag-beetle', 'caterpillar', 'marionette'] as const)(
  'poses the %s as the measures do, and stands as stored again after a clip',
  async (name) => {
    const rig = await rigOf(buildGlb(name));
    const nodes = [...rig.joints.node];
    const pose = new SkinPose(rig);
    const isAsStored = (): boolean =>
      nodes.every((node) =>
        pose.worldOf(node).every((v, i) => v === mat4At(rig.nodes.world, node)[i]),
      );
    expect(isAsStored()).toBe(true);
    let moved = 0;
    for (const clip of rig.clips) {
      const measured = new ClipPose(rig, clip);
      pose.play(clip);
      for (const time of sampleTimes(clip.channels)) {
        pose.seek(time);
        measured.seek(time);
        for (const node of nodes)
          expect([...pose.worldOf(node)]).toEqual([...measured.worldOf(node)]);
        if (!isAsStored()) moved++;
      }
      pose.play(null);
      expect(isAsStored()).toBe(true);
    }
    expect(moved > 0).toBe(rig.clips.length > 0);
  },
);
