import { Box3, Vector3 } from 'three';
import type { Eye, Side } from './eye.js';
import { type Shown, shownPlaces } from './live-approved.js';
import type { LiveRig } from './live-rig.js';
import { outline } from './posed-points.js';

/** Between two rigs side by side. World of the stage, whose rigs have a diagonal of 1. */
const GAP = 0.06;

/** How the approved rigs of all rigs are shown. `rigs` are as stored, and `eye` may not be there yet. */
export function makeApprovedView(rigs: readonly LiveRig[], eye: () => Eye | undefined) {
  let shown: Shown = 'top';
  const across = new Box3().setFromPoints(outline(rigs)).getSize(new Vector3());
  /** A step to the right of who looks: side by side they are from wherever that is. */
  const aside = (side: Side | null): Vector3 => {
    const right = eye()?.right(side) ?? new Vector3();
    const [x, y, z] = right.toArray().map(Math.abs);
    return right.multiplyScalar(across.dot(new Vector3(x, y, z)) + GAP);
  };
  return {
    shown: () => shown,
    show(how: Shown): void {
      shown = how;
    },
    /** Where the joints of each are shown, to who looks from a side or from where the eye is; none where hidden. */
    places(side: Side | null): Vector3[][] {
      const by = shown === 'beside' ? aside(side) : new Vector3();
      return rigs.map(({ approved }) =>
        approved === null ? [] : shownPlaces(approved, shown, by),
      );
    },
  };
}
