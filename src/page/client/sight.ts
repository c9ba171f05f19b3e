import { Matrix4, type PerspectiveCamera, type Vector3, Vector4 } from 'three';

/** A point on the canvas, CSS pixels from its top left. */
export type Spot = Readonly<Record<'x' | 'y', number>>;

/** Where the camera sees things, for one moment. */
export type Sight = ReturnType<typeof makeSight>;

export function makeSight(camera: PerspectiveCamera, width: number, height: number) {
  camera.updateMatrixWorld(true);
  const toClip = new Matrix4().multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
  const seen = new Vector4();
  const see = ({ x, y, z }: Vector3): Vector4 => seen.set(x, y, z, 1).applyMatrix4(toClip);
  return {
    width,
    height,
    /** From the world of the stage to clip space. */
    toClip,
    /** Null for what is not in front of the camera, or is nowhere. */
    spot(point: Vector3): Spot | null {
      const { x, y, w } = see(point);
      if (!(w > camera.near)) return null;
      return { x: (width * (1 + x / w)) / 2, y: (height * (1 - y / w)) / 2 };
    },
    /** Length at a point that covers one CSS pixel. */
    pixel(point: Vector3): number {
      const { w } = see(point);
      return (2 * Math.max(w, camera.near) * Math.tan((camera.fov * Math.PI) / 360)) / height;
    },
  };
}
