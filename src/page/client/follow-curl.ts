import { Vector3 } from 'three';
import type { CurlView } from '../../draw/curl-view.js';
import type { Stage } from './stage.js';

/** A smaller gap cannot be seen. Share of the chain's length. */
export const LEAST_DRIFT = 5e-4;
/** The eye stays while the widest gap is seen at this share of its best length on the canvas. */
const SEEN_WELL = 0.5;

/** A curl with the frames that are stored and with carried ones, joint by joint; world of the stage. */
interface Places {
  readonly own: readonly Vector3[];
  readonly carried: readonly Vector3[];
}

/** Turns the eye to what a curl leaves its place by, until a hand takes over. */
export function makeFollower({ eye, sight }: Stage) {
  let isOn = true;
  return {
    isOn: () => isOn,
    set(on: boolean): void {
      isOn = on;
    },
    /** Moves only where the gap is seen badly or something is out of sight, so that a slider leaves the view calm. */
    look({ own, carried }: Places, { drift, worst, sights }: CurlView): void {
      if (!isOn || drift < LEAST_DRIFT) return;
      const [is, should] = [own[worst], carried[worst]];
      if (is === undefined || should === undefined) return;
      const points = [...own, ...carried];
      const toward = new Vector3(...sights[0].toward);
      const seen = sight();
      const spots = points.map((point) => seen.spot(point));
      const [from, to] = [seen.spot(is), seen.spot(should)];
      const gap = from && to ? Math.hypot(from.x - to.x, from.y - to.y) : 0;
      const half = Math.tan((eye.camera.fov * Math.PI) / 360);
      const best =
        (is.distanceTo(should) * seen.height) / (2 * half * eye.distanceTo(points, toward));
      const isInSight = spots.every(
        (spot) =>
          spot !== null &&
          Math.min(spot.x, spot.y) >= 0 &&
          spot.x <= seen.width &&
          spot.y <= seen.height,
      );
      if (!isInSight || gap < SEEN_WELL * best) void eye.flyAround(points, toward);
    },
  };
}
