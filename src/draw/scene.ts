import type { CurlChain } from '../measure/skeleton/curl-pose.js';
import type { ChannelPath } from '../rig/types.js';
import type { Vec3 } from '../rig/vec3.js';

/** What pictures need of one asset, independent of the file format. */
export interface Scene {
  /** As in the report. */
  readonly rigs: readonly RigScene[];
}

export interface RigScene {
  readonly name: string;
  /** Holders, joints and spacers, parents before children, as stored in the file. */
  readonly nodes: readonly SceneNode[];
  /** Node of each joint, in the report's joint order; an index in `nodes`. */
  readonly jointNodes: readonly number[];
  /** Parent joint of each joint, -1 at the top. */
  readonly jointParents: readonly number[];
  /** Index in `nodes` of each slot, and 16 numbers a slot. */
  readonly skins: readonly {
    readonly slots: readonly number[];
    readonly inverseBind: Float64Array;
  }[];
  readonly meshes: readonly SceneMesh[];
  readonly clips: readonly SceneClip[];
  readonly chains: readonly SceneChain[];
  /** Signed axes such as `+X` that the rig's frames are judged by; null where it shows none. */
  readonly aim: { readonly middle: string; readonly left: string; readonly right: string } | null;
  readonly up: string | null;
  /** Whether joints are elsewhere as stored than where the mesh was bound to them. */
  readonly posed: boolean;
  /** Diagonal of the bind-posed mesh, world units. */
  readonly size: number;
  /** What it was compared with; absent where that is nothing, or shares too little to be laid over it. */
  readonly approved?: SceneApproved;
}

/** The rig that another has to fit, to be laid over it: body root on body root, at its size. */
export interface SceneApproved
  extends Pick<RigScene, 'name' | 'nodes' | 'jointNodes' | 'jointParents'> {
  /** The file it is in, as people know it. */
  readonly file: string;
  /** What was laid on what: root on root, or, as the model of a class, mesh on mesh. */
  readonly by: 'root' | 'mesh';
  /** From its world to that of the rig that it is laid over: 16 numbers, column-major. */
  readonly onto: readonly number[];
  /** What `onto` holds: the factor, and the angle of the turn in degrees. */
  readonly scale: number;
  readonly turned: number;
  /** Places of its joints as bound, in the world of the rig that it is laid over. */
  readonly places: readonly Vec3[];
  /** The joint on which it is held, its own, and the one of the rig that answers to it. */
  readonly held: readonly [approved: number, own: number];
  /** The joint of the rig that answers to each joint, -1 for none. */
  readonly jointAnswers: readonly number[];
  /** Clips that were made for it, its own and those of other files. */
  readonly clips: readonly ApprovedClip[];
}

/**
 * A clip as both rigs play it: tracks of the approved rig, then of the rig that is compared. The nodes
 * of the second count on from the last of the first.
 */
export interface ApprovedClip extends SceneClip {
  /** The file it is in, as people know it. */
  readonly from: string;
  /** When the two are farthest apart in it; null where they never are, or nobody asked. */
  readonly worst: SceneMoment | null;
}

/** A moment of a clip at which a rig is apart from the approved one, as `fit.play` measures it. */
export interface SceneMoment {
  /** The joint of the rig. */
  readonly joint: number;
  readonly seconds: number;
  /** What is off there: the bone to the joint, the joint, its skin, or the way of the whole rig. */
  readonly kind: 'bone' | 'place' | 'skin' | 'travel';
  /** Degrees for a bone, else % of size. */
  readonly value: number;
  readonly limit: number;
  /** Whether it is the worst moment of all clips, which a finding names. */
  readonly isWorst: boolean;
}

export interface SceneNode {
  readonly name: string;
  /** Index in `RigScene.nodes`, -1 at the top. */
  readonly parent: number;
  /** Joint index, -1 for a holder or spacer. */
  readonly joint: number;
  /** Local matrix as stored, column-major. */
  readonly local: readonly number[];
}

/** One primitive. Vertices are in the mesh's own frame, as glTF 2.0 stores them. */
export interface SceneMesh {
  readonly label: string;
  /** Index in `RigScene.skins`. */
  readonly skin: number;
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  /** Three vertex indices a triangle. */
  readonly triangles: Uint32Array;
  /** Four a vertex: slot in the skin. */
  readonly slots: Uint16Array;
  /** Four a vertex, summing to 1, or all 0 for a vertex that nothing moves. */
  readonly weights: Float32Array;
}

/** A clip sampled so densely that straight lines between the samples look right. */
export interface SceneClip {
  readonly name: string;
  /** Index of the clip in its file; absent where nobody asks which it is. */
  readonly index?: number;
  /** Seconds. */
  readonly duration: number;
  readonly tracks: readonly SceneTrack[];
}

export interface SceneTrack {
  /** Index in `RigScene.nodes`. */
  readonly node: number;
  readonly path: ChannelPath;
  /** Whether a value stays until the next time, rather than blending into the next value. */
  readonly steps: boolean;
  /** Seconds, ascending. */
  readonly times: Float32Array;
  /** 3 or 4 numbers a time. */
  readonly values: Float32Array;
}

/** A segment of three joints or more, and how it curls. */
export interface SceneChain {
  readonly joints: readonly number[];
  readonly curl: CurlChain;
  /**
   * Local matrices of its joints as the mesh was bound to them, 16 numbers each, the first left out;
   * absent where they are those that are stored. A chain is curled from there.
   */
  readonly bound?: readonly (readonly number[])[];
}
