import { PerspectiveCamera, Spherical, Vector3 } from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';

export type Side = 'front' | 'side' | 'top';

/** Degrees, top to bottom: flat enough to compare lengths, deep enough to see what is near. */
const VIEW_DEGREES = 28;
const FLIGHT_MS = 450;
/** Room left around what is looked at. */
const MARGIN = 1.12;
/** How much farther off than it must be the eye flies, to show what is about some points. */
const ABOUT = 1.3;
const NEAREST = 0.02;
const FARTHEST = 60;
/** Radians that a view from above is kept off the pole, where left and right are lost. */
const OFF_POLE = 1e-4;

const FROM: Readonly<Record<Side, readonly [number, number, number]>> = {
  // glTF 2.0 (Coordinate System and Units): +Y is up and the front of an asset faces +Z.
  front: [0, 0, 1],
  side: [1, 0, 0],
  top: [0, 1, OFF_POLE],
};

const UP = new Vector3(0, 1, 0);

/** Where a stage is looked at from. */
export type Eye = ReturnType<typeof makeEye>;

/** The camera of a stage whose contents are about one unit large, turned by hand and by calls. */
export function makeEye(canvas: HTMLCanvasElement, changed: () => void) {
  const camera = new PerspectiveCamera(VIEW_DEGREES, 1, 0.01, 100);
  camera.position.set(0.6, 0.35, 1.6);
  const controls = new OrbitControls(camera, canvas);
  controls.minDistance = NEAREST;
  controls.maxDistance = FARTHEST;
  controls.enableZoom = false;
  let flight = 0;
  let byHand = (): void => {};
  const offset = (): Vector3 => camera.position.clone().sub(controls.target);
  const keepPlanes = (): void => {
    // The planes follow the eye, so that a finger can be seen as closely as a whole rig.
    const distance = offset().length();
    camera.near = distance / 50;
    camera.far = distance + FARTHEST;
    camera.updateProjectionMatrix();
  };
  controls.addEventListener('change', () => {
    keepPlanes();
    changed();
  });
  const takeOver = (): void => {
    flight++;
    byHand();
  };
  controls.addEventListener('start', takeOver);

  const place = (target: Vector3, off: Vector3): void => {
    controls.target.copy(target);
    camera.position.copy(target).add(off);
    controls.update();
    keepPlanes();
    changed();
  };
  const halfAngles = (): [number, number] => {
    const up = Math.tan((VIEW_DEGREES * Math.PI) / 360);
    return [up * camera.aspect, up];
  };

  const direction = (side: Side | null): Vector3 =>
    (side === null ? offset() : new Vector3(...FROM[side])).normalize();

  /** Moves the eye from where it is to `end` off a point. */
  const fly = (point: () => Vector3, end: Vector3): Promise<void> => {
    const mine = ++flight;
    const [from, start] = [controls.target.clone(), offset()];
    const moveTo = (share: number): void =>
      place(from.clone().lerp(point(), share), start.clone().lerp(end, share));
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) {
      moveTo(1);
      return Promise.resolve();
    }
    return new Promise((resolve) => {
      const begun = performance.now();
      const step = (now: number): void => {
        const time = Math.min(1, Math.max(0, (now - begun) / FLIGHT_MS));
        if (mine === flight) moveTo(time * time * (3 - 2 * time));
        if (mine === flight && time < 1) requestAnimationFrame(step);
        else resolve();
      };
      requestAnimationFrame(step);
    });
  };

  return {
    camera,
    /** To the right of who looks from a side, or from where the eye is. Unit vector. */
    right: (side: Side | null) => UP.clone().cross(direction(side)).normalize(),
    /** Fits the camera to a canvas of this many CSS pixels. */
    resize(width: number, height: number): void {
      camera.aspect = width / Math.max(1, height);
      camera.updateProjectionMatrix();
      changed();
    },
    /** Looks at the whole of some points from a side, or from where the eye is. */
    whole(points: readonly Vector3[], side: Side | null): void {
      flight++;
      const from = side === null ? offset() : new Vector3(...FROM[side]);
      const { target, distance } = fitted(points, from.clone().normalize(), halfAngles());
      place(target, from.setLength(distance));
    },
    /** Turns around the target. Radians. */
    turn(right: number, up: number): void {
      takeOver();
      const around = new Spherical().setFromVector3(offset());
      around.theta += right;
      around.phi -= up;
      place(controls.target.clone(), new Vector3().setFromSpherical(around.makeSafe()));
    },
    /** Shifts sideways, in shares of the canvas's height. */
    shift(right: number, up: number): void {
      takeOver();
      camera.updateMatrixWorld();
      const axis = (index: number): Vector3 =>
        new Vector3().setFromMatrixColumn(camera.matrixWorld, index);
      const high = 2 * offset().length() * halfAngles()[1];
      const target = controls.target.clone().addScaledVector(axis(0), right * high);
      place(target.addScaledVector(axis(1), up * high), offset());
    },
    /** Comes nearer by a factor below 1, goes away by one above. */
    zoom(factor: number): void {
      takeOver();
      const length = Math.min(FARTHEST, Math.max(NEAREST, offset().length() * factor));
      place(controls.target.clone(), offset().setLength(length));
    },
    /**
     * Moves until a point, which may move too, is at the middle of the canvas and `reach` around it fits
     * in. Ends at once when people want no motion, or when another flight or a hand takes over.
     */
    flyTo(point: () => Vector3, reach: number): Promise<void> {
      const start = offset();
      const distance = Math.max(NEAREST, reach / Math.sin(Math.atan(Math.min(...halfAngles()))));
      return fly(point, start.clone().setLength(distance));
    },
    /** How far off the whole of some points is seen from a direction. */
    distanceTo: (points: readonly Vector3[], from: Vector3): number =>
      fitted(points, from, halfAngles()).distance,
    /** Moves in the same way until some points and what is about them are seen from a direction, or from behind it. */
    flyAround(points: readonly Vector3[], direction: Vector3): Promise<void> {
      // The nearer of the two: both show the same.
      const from = direction.clone().multiplyScalar(direction.dot(offset()) < 0 ? -1 : 1);
      if (Math.hypot(from.x, from.z) < OFF_POLE) from.z = OFF_POLE;
      const { target, distance } = fitted(points, from.normalize(), halfAngles());
      return fly(() => target, from.setLength(ABOUT * distance));
    },
    /** Calls back when a hand or a key takes over. */
    onHand(listener: () => void): void {
      byHand = listener;
    },
    setWheel(on: boolean): void {
      controls.enableZoom = on;
    },
  };
}

/**
 * Where to look, off the middle of the stage, and from how far, to see points whole from a direction.
 * With t the tangent of half the angle of view, a point (x, z) is in sight when |x - c| <= (d - z) t; so
 * d t >= (A + B) / 2 and c = (A - B) / 2, with A = max(x + z t) and B = max(z t - x). The same for y.
 */
function fitted(points: readonly Vector3[], from: Vector3, halves: readonly [number, number]) {
  const right = UP.clone().cross(from).normalize();
  const target = new Vector3();
  let distance = NEAREST;
  [right, from.clone().cross(right)].forEach((axis, i) => {
    const half = (halves[i] ?? 1) / MARGIN;
    let [most, least] = [-Infinity, -Infinity];
    for (const point of points) {
      const [across, near] = [point.dot(axis), half * point.dot(from)];
      most = Math.max(most, near + across);
      least = Math.max(least, near - across);
    }
    if (!Number.isFinite(most + least)) return;
    target.addScaledVector(axis, (most - least) / 2);
    distance = Math.max(distance, (most + least) / 2 / half);
  });
  return { target, distance };
}
