import type { Shown } from './live-approved.js';
import type { Curl } from './pose-bones.js';
import type { Spot } from './sight.js';

/** What scripts of the page, and tests, may do with the view. */
export interface ViewHandle {
  readonly ready: true;
  flyTo(rig: number, joint: number): Promise<void>;
  /** Where a joint is drawn. CSS pixels in the canvas; null when it is not in front of the eye. */
  projected(rig: number, joint: number): Spot | null;
  /** Turns every joint of a chain about a letter by so many degrees. */
  curl(
    rig: number,
    chain: number,
    letter: Curl['letter'],
    degrees: number,
    frames: Curl['frames'],
  ): void;
  /** Poses a rig by one of its clips, or as stored for null. */
  pose(rig: number, clip: number | null, seconds: number): void;
  /** Vertices of a mesh as posed, skinned by three.js on the processor; the file's world. */
  positions(rig: number, mesh: number): Float32Array;
  /** Places of the joints as posed; the file's world. */
  joints(rig: number): [number, number, number][];
  /** Places of the joints of the approved rig as it is shown, none where it is hidden; the file's world. */
  approved(rig: number): [number, number, number][];
  showApproved(how: Shown): void;
  /** What is told of the curl: where it is off most, as a share of the chain; null without one. */
  gap(): number | null;
  /** Where the joints of the curled chain would be with the other frames, none without a curl; the file's world. */
  compared(): [number, number, number][];
  /** Column-major matrix from the file's world to clip space. */
  viewProjection(): number[];
  /** How many pictures were made. */
  pictures(): number;
}
