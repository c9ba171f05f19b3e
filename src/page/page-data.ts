import type {
  ApprovedClip,
  RigScene,
  SceneApproved,
  SceneChain,
  SceneClip,
  SceneMesh,
  SceneTrack,
} from '../draw/scene.js';
import type { Vec3 } from '../rig/vec3.js';

/** What the viewer gets from its page, as JSON; arrays of numbers are packed. */
export interface PageData {
  readonly rigs: readonly PageRig[];
}

/** A rig of the scene as far as the viewer needs it; indices are those of the scene. */
export interface PageRig
  extends Pick<RigScene, 'name' | 'nodes' | 'jointNodes' | 'jointParents' | 'size'> {
  /** Skins: a bone each slot, an index in `nodes`. */
  readonly skins: readonly { readonly slots: readonly number[]; readonly inverseBind: Packed }[];
  readonly meshes: readonly PageMesh[];
  readonly clips: readonly PageClip[];
  readonly chains: readonly PageChain[];
  /** What was left out, for the viewer to say: one sentence each. */
  readonly notes: readonly string[];
  /** What it was compared with; absent where that is nothing. */
  readonly approved?: PageApproved;
}

/** The approved rig as far as the viewer needs it: its joints, and the clips that both rigs play. */
export interface PageApproved
  extends Pick<SceneApproved, 'nodes' | 'jointNodes' | 'jointParents' | 'jointAnswers'>,
    Pick<SceneApproved, 'by' | 'onto' | 'held'> {
  readonly clips: readonly PageApprovedClip[];
}

/**
 * A mesh in its own frame. A vertex is `origin + step * stored`, each axis for itself; weights are
 * steps of 1/255 that sum to 255, or to 0 where nothing moves the vertex. Packed are Uint16 `positions`,
 * three a vertex; Uint16 or Uint32 `triangles`, three a triangle; Uint16 `slots` in the skin and Uint8
 * `weights`, four a vertex.
 */
export interface PageMesh
  extends Pick<SceneMesh, 'label' | 'skin'>,
    Readonly<Record<'positions' | 'triangles' | 'slots' | 'weights', Packed>> {
  readonly origin: Vec3;
  readonly step: Vec3;
}

export interface PageClip extends Omit<SceneClip, 'tracks'> {
  readonly tracks: readonly PageTrack[];
}

export type PageApprovedClip = PageClip & Pick<ApprovedClip, 'from' | 'worst'>;

export interface PageTrack extends Omit<SceneTrack, 'times' | 'values'> {
  /** Float32 seconds, ascending. */
  readonly times: Packed;
  /** Float32; 3 or, for a rotation (x, y, z, w), 4 a time. */
  readonly values: Packed;
}

/** Joints that can be curled together. How each stands against the one before is in the nodes. */
export interface PageChain extends Pick<SceneChain, 'joints' | 'bound'> {
  readonly carried: SceneChain['curl']['carried'];
  readonly letters: SceneChain['curl']['letters'];
}

/** Numbers in little-endian bytes, as base64. */
export interface Packed {
  readonly type: 'u8' | 'u16' | 'u32' | 'f32';
  readonly base64: string;
}
