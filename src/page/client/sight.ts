import { Matrix4, type PerspectiveCamera, type Vector3, Vector4 } from 'three';

/** A point on the canvas, CSS pixels from its top left. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

/** Where the camera sees things, for one moment. */
export interface Sight {
  readonly width: number;
  readonly height: number;
  /** Null for what is not in front of the camera, or is nowhere. */
  spot(point: Vector3): Spot | null;
  /** Length at a point that covers one CSS pixel. */
  pixel(point: Vector3): number;
}

export function makeSight(camera: PerspectiveCamera, width: number, height: number): Sight {
  camera.updateMatrixWorld(true);
  const both = new Matrix4().multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
  const seen = new Vector4();
  const see = (point: Vector3): Vector4 =>
    seen.set(point.x, point.y, point.z, 1).applyMatrix4(both);
  return {
    width,
    height,
    spot(point) {
      const { x, y, w } = see(point);
      if (!(w > camera.near)) return null;
      return { x: (width * (1 + x / w)) / 2, y: (height * (1 - y / w)) / 2 };
    },
    pixel(point) {
      const { w } = see(point);
      return (2 * Math.max(w, camera.near) * Math.tan((camera.fov * Math.PI) / 360)) / height;
    },
  };
}
