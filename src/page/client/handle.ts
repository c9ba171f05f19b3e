import { placeOf } from './live-bones.js';
import { skinnedAll } from './posed-points.js';
import type { ViewHandle } from './view-handle.js';
import type { Viewer } from './viewer.js';

/** Lets scripts of the page, and tests, use the view. */
export function makeHandle(viewer: Viewer): ViewHandle {
  const { rigs, stage, world } = viewer;
  const back = world.clone().invert();
  return {
    ready: true,
    flyTo: (rig, joint) => viewer.flyTo({ rig, joint }),
    projected(rig, joint) {
      const live = rigs[rig];
      return live === undefined ? null : stage.sight().spot(placeOf(live, joint));
    },
    curl: (rig, chain, letter, degrees, frames) =>
      viewer.setCurl(rig, { chain, letter, degrees, frames }),
    pose: (rig, clip, seconds) =>
      viewer.setPose(rig, clip === null ? { kind: 'rest' } : { kind: 'clip', clip, seconds }),
    positions(rig, mesh) {
      const layer = rigs[rig]?.meshes[mesh]?.[0];
      return layer === undefined ? new Float32Array(0) : skinnedAll(layer, back);
    },
    joints: (rig) =>
      (rigs[rig]?.joints ?? []).map((_, joint) =>
        placeOf(rigs[rig], joint).applyMatrix4(back).toArray(),
      ),
    approved: (rig) =>
      viewer.approvedPlaces(rig).map((place) => place.applyMatrix4(back).toArray()),
    showApproved: viewer.showApproved,
    gap: () => viewer.curled(viewer.rig())?.drift ?? null,
    compared: () =>
      viewer.comparedPlaces(viewer.rig()).map((place) => place.applyMatrix4(back).toArray()),
    viewProjection: () => stage.sight().toClip.clone().multiply(world).toArray(),
    pictures: () => stage.pictures(),
  };
}
