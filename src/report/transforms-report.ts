import type { ChannelPath, Interpolation } from '../asset/gltf-types.js';
import type { Vec3 } from '../rig/vec3.js';

/**
 * What a report tells of a joint where its transforms were asked for. World matrices have 16 numbers,
 * by columns as in glTF: the axes of a joint below an unequally scaled one can be skewed, which no
 * translation, rotation and scale can say. What a node stores is in these three parts, as people read it.
 */
export interface JointTransforms {
  /** World matrix in the bind pose. */
  readonly bind: readonly number[];
  /** World matrix in the pose that the file stores. */
  readonly rest: readonly number[];
  /** As stored, against the parent node, which may be no joint. */
  readonly local: LocalTransform;
  readonly frame: FrameReport;
}

/** A stored matrix is split into these parts; one with skewed axes is then not all told. */
export interface LocalTransform {
  readonly translation: Vec3;
  /** Unit quaternion x, y, z, w. */
  readonly rotation: readonly number[];
  readonly scale: Vec3;
}

/** The axes that a joint is held to, and how well the first of them aims. */
export interface FrameReport {
  /** Signed axis such as `+X`, of its side and limb; null where the rig shows none. */
  readonly aim: string | null;
  readonly up: string | null;
  /** Index of the joint that it has to aim at; null where its aim is not measured. */
  readonly aimJoint: number | null;
  /** Angle in degrees between its aim axis and the direction to that joint; null with `aimJoint`. */
  readonly miss: number | null;
}

/** When something has keys. Seconds; null for no key. */
interface KeyedReport {
  readonly keys: number;
  readonly first: number | null;
  readonly last: number | null;
}

/** A clip that poses a rig. `keys` counts different times. */
export interface ClipReport extends KeyedReport {
  /** Index in the file's animations. */
  readonly index: number;
  readonly name: string;
  /** Seconds from the first key to the last. */
  readonly duration: number | null;
  /** Keys a second; null where they are not evenly spaced, or fewer than three. */
  readonly rate: number | null;
  /** Those that pose a joint of the rig, or a node above or between them. */
  readonly channels: readonly ChannelReport[];
}

export interface ChannelReport extends KeyedReport {
  /** Index of the node in the file. */
  readonly node: number;
  /** Index in `RigReport.joints`; null for a node above or between the joints. */
  readonly joint: number | null;
  readonly path: ChannelPath;
  readonly interpolation: Interpolation;
}
