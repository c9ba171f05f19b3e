import { Matrix4 } from 'three';
import { placeOf } from './live-rig.js';
import { skinnedAll } from './skinned.js';
import type { ViewHandle } from './view-handle.js';
import type { Viewer } from './viewer.js';

/** Lets scripts of the page, and tests, work the view. */
export function makeHandle(viewer: Viewer): ViewHandle {
  const { rigs, stage, world } = viewer;
  const back = world.clone().invert();
  return {
    ready: true,
    flyTo: (rig, joint) => viewer.flyTo({ rig, joint }),
    projected(rig, joint) {
      const of = rigs[rig];
      return of === undefined ? null : stage.sight().spot(placeOf(of, joint));
    },
    curl: (rig, chain, about, share, frames) =>
      viewer.setCurl(rig, { chain, about, share, frames }),
    pose: (rig, clip, seconds) =>
      viewer.setPose(rig, clip === null ? { kind: 'rest' } : { kind: 'clip', clip, seconds }),
    positions(rig, mesh) {
      const layer = rigs[rig]?.meshes[mesh]?.[0];
      return layer === undefined ? new Float32Array(0) : skinnedAll(layer, back);
    },
    joints: (rig) =>
      (rigs[rig]?.joints ?? []).map((_, joint) => {
        const of = rigs[rig];
        return of === undefined ? [0, 0, 0] : placeOf(of, joint).applyMatrix4(back).toArray();
      }),
    gap: () => viewer.poser.gap(viewer.rig()),
    viewProjection() {
      const { camera } = stage.eye;
      camera.updateMatrixWorld(true);
      const both = new Matrix4().multiplyMatrices(
        camera.projectionMatrix,
        camera.matrixWorldInverse,
      );
      return both.multiply(world).elements.slice();
    },
    pictures: () => stage.pictures(),
  };
}
