import { placeOf } from '../live-bones.js';
import { skinnedAll } from '../posed-points.js';
import type { Spot } from '../sight.js';
import type { PairViewer } from './pair-viewer.js';

/** What scripts of the page, and tests, may do with the view of a mend. `side` is 0 before and 1 after. */
export interface PairHandle {
  readonly ready: true;
  /** Poses a rig on both sides by a clip, or as stored for null. */
  pose(rig: number, clip: number | null, seconds: number): void;
  split(): number;
  setSplit(share: number): void;
  /** Vertices of a mesh as posed, skinned by three.js on the processor; the file's world. */
  positions(side: number, rig: number, mesh: number): Float32Array;
  /** Places of the joints as posed; the file's world. */
  joints(side: number, rig: number): [number, number, number][];
  /** Where a joint of before is drawn. CSS pixels in the canvas. */
  projected(rig: number, joint: number): Spot | null;
  /** How many pictures were made. */
  pictures(): number;
}

export function makePairHandle(viewer: PairViewer): PairHandle {
  const { sides, stage, world } = viewer;
  const back = world.clone().invert();
  const rigOf = (side: number, rig: number) => sides[side === 0 ? 0 : 1][rig];
  return {
    ready: true,
    pose: (rig, clip, seconds) =>
      viewer.setPose(rig, clip === null ? { kind: 'rest' } : { kind: 'clip', clip, seconds }),
    split: viewer.split,
    setSplit: viewer.setSplit,
    positions(side, rig, mesh) {
      const layer = rigOf(side, rig)?.meshes[mesh]?.[0];
      return layer === undefined ? new Float32Array(0) : skinnedAll(layer, back);
    },
    joints: (side, rig) =>
      (rigOf(side, rig)?.joints ?? []).map((_, joint) =>
        placeOf(rigOf(side, rig), joint).applyMatrix4(back).toArray(),
      ),
    projected(rig, joint) {
      const live = rigOf(0, rig);
      return live === undefined ? null : stage.sight().spot(placeOf(live, joint));
    },
    pictures: () => stage.pictures(),
  };
}
