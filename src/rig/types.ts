import type { ChannelPath, Interpolation } from '../asset/gltf-types.js';
import type { HumanBone, VrmVersion } from '../asset/human-bones.js';

export type { ChannelPath };

/** All nodes of an asset, by node index; matrices are column-major float64. */
export interface NodeTable {
  readonly count: number;
  /** Parent node, -1 at the top. */
  readonly parent: Int32Array;
  /** Siblings in an order that no export changes: see `orderSiblings`. */
  readonly children: readonly (readonly number[])[];
  /** Nodes without a parent, in the same order. */
  readonly tops: readonly number[];
  /** Parents before children, siblings as in `children`. */
  readonly order: Int32Array;
  readonly names: readonly (string | null)[];
  /** Stored local transform, split: 3, 4 and 3 numbers a node. */
  readonly translation: Float64Array;
  readonly rotation: Float64Array;
  readonly scale: Float64Array;
  /** Stored local matrix, 16 numbers a node. */
  readonly local: Float64Array;
  /** World matrix at rest, 16 numbers a node. */
  readonly world: Float64Array;
}

/** The joints of a rig in tree order: parents before children, each branch in one piece. */
export interface JointTable {
  readonly count: number;
  /** Node index of each joint. */
  readonly node: Int32Array;
  /** Parent joint, -1 for a topmost joint. Spacers are skipped. */
  readonly parent: Int32Array;
  readonly children: readonly (readonly number[])[];
  /** Name as shown: the file's, or `unnamed` with its place among its siblings. */
  readonly names: readonly string[];
  /** Whether the file gives a name. */
  readonly named: readonly boolean[];
  /** Names from the topmost joint down, joined by `/`; unique within the rig, free of indices. */
  readonly paths: readonly string[];
  /**
   * Nodes between a joint and its parent joint that no skin lists, from above to below. Joints below
   * the same spacer share one list.
   */
  readonly spacers: readonly (readonly number[])[];
  readonly depth: Int32Array;
  /** Joint of a node, -1 where the node is not a joint. */
  readonly ofNode: Int32Array;
}

/** One skin of a rig. */
export interface RigSkin {
  /** Index in the asset. */
  readonly index: number;
  readonly name: string | null;
  /** Joint of each slot of `skin.joints`. */
  readonly jointOfSlot: Int32Array;
  /** Slot of each joint, -1 where this skin does not list it. */
  readonly slotOfJoint: Int32Array;
  /** Inverse bind matrix of each slot, 16 numbers; identity when the file gives none at all, zero where one is missing. */
  readonly inverseBind: Float64Array;
  /** Matrices that the file gives; null when it gives none, which means identity. */
  readonly matrixCount: number | null;
}

/** One primitive as one node shows it, moved by one skin. */
export interface SkinnedPart {
  readonly node: number;
  readonly mesh: number;
  readonly primitive: number;
  /** Name of the node or mesh, for people. */
  readonly label: string;
  /**
   * Whether an earlier part of the rig has the very same vertices: primitives split by material
   * often share one set of attributes, and a faulty vertex is one fault.
   */
  readonly sharesVertices: boolean;
  /** Place in the rig's list of skins. */
  readonly skin: number;
  readonly vertexCount: number;
  /** x, y, z a vertex, in the mesh's own frame. */
  readonly positions: Float32Array;
  /** Three vertex indices a triangle; null for points and lines. */
  readonly triangles: Uint32Array | Uint16Array | Uint8Array | null;
  /** Influences a vertex: 4 times the number of sets; 0 when the primitive has no weights. */
  readonly influences: number;
  /** Slot in `skin.joints`, `influences` a vertex. */
  readonly slots: Uint16Array | Uint8Array;
  /** Weight of each influence. */
  readonly weights: Float32Array;
  /** Steps from 0 to 1 of a normalised integer weight: 255 or 65535; 0 for float. */
  readonly weightSteps: 0 | 255 | 65535;
}

/** What a clip does to one property of one node. */
export interface ClipChannel {
  readonly node: number;
  readonly path: ChannelPath;
  readonly interpolation: Interpolation;
  /** Seconds, ascending. */
  readonly times: Float32Array;
  /** Per key: the value; for CUBICSPLINE in-tangent, value, out-tangent (glTF 2.0, Appendix C). */
  readonly values: Float32Array;
  /** Numbers in one value: 3 or 4. */
  readonly size: number;
}

/** A clip, as far as it poses nodes. */
export interface Clip {
  readonly index: number;
  readonly name: string;
  readonly channels: readonly ClipChannel[];
  /** Nodes that the clip poses, and by which channels. */
  readonly keyed: ReadonlyMap<number, ReadonlySet<ChannelPath>>;
}

/** What the asset says of its joints as parts of a human body: its VRM mapping. */
export interface Humanoid {
  readonly version: VrmVersion;
  /** Each bone is one joint of the rig, and no joint is two bones. */
  readonly joints: ReadonlyMap<HumanBone, number>;
}

/** The skins of one asset that share joints or a root, and all that they move. */
export interface Rig {
  readonly index: number;
  readonly name: string;
  readonly nodes: NodeTable;
  readonly joints: JointTable;
  /** Null where the asset maps none of these joints. */
  readonly humanoid: Humanoid | null;
  readonly skins: readonly RigSkin[];
  readonly parts: readonly SkinnedPart[];
  /** Nodes above the topmost joints, from the scene down, each once. */
  readonly holders: readonly number[];
  /**
   * The holders that are nothing else, from the scene down: one list for each tree of nodes. Nodes that
   * carry flesh, or hold some topmost joints and not all, are bones that no skin lists (see
   * `findHolders`).
   */
  readonly holderWays: readonly (readonly number[])[];
  /** What else is in the scene: other rigs with a mesh, and meshes that neither a skin nor a joint moves. */
  readonly beside: { readonly rigs: number; readonly objects: number };
  /** Nodes that show a mesh of this rig. */
  readonly meshNodes: readonly number[];
  /** Whether all topmost joints are in one tree of nodes. */
  readonly hasCommonRoot: boolean;
  /** Clips that move a joint, spacer or holder of this rig, with only those channels. */
  readonly clips: readonly Clip[];
}

/** What the rules look at in an asset. */
export interface RigModel {
  readonly nodes: NodeTable;
  readonly rigs: readonly Rig[];
  /** All clips with all their channels; those of an asset without a skin only where they were asked for. */
  readonly clips: readonly Clip[];
}

/** Clips of one file, and the nodes that they pose. */
export interface ClipSource {
  /** The file, as people know it. */
  readonly name: string;
  readonly nodes: NodeTable;
  readonly clips: readonly Clip[];
}

/** An asset that others have to fit. */
export interface ApprovedAsset {
  /** The file, as people know it. */
  readonly name: string;
  readonly model: RigModel;
  /** The clips that were made for it: its own, then those of the library. Files without one are left out. */
  readonly clips: readonly ClipSource[];
  /** Whether other assets are asked for their clips alone, and a rig in them is not compared. */
  readonly clipsAlone?: boolean;
}

/** What made a rig and an approved one a pair. */
export interface PairedBy {
  /**
   * Each asset has but the `only` one; they share most names of `joints`. Of several that share as many,
   * the one of the same `name`, the `larger`, or the first in `order`. Without names, the `count` of joints.
   */
  readonly way: 'only' | 'joints' | 'name' | 'larger' | 'order' | 'count';
  /** Joints of the rig whose names the approved one has. */
  readonly shared: number;
}

/** What one rig has to fit. */
export interface Approved {
  readonly asset: ApprovedAsset;
  /** The rig that it is compared with; null where the approved asset has none for it. */
  readonly rig: Rig | null;
  /** Why it is that rig; null where there is none. */
  readonly by: PairedBy | null;
  /** Rigs of the approved asset that no rig answers to; told by the first rig of an asset alone. */
  readonly unanswered: readonly Rig[];
}
