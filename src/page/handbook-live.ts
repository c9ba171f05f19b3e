import type { View } from '../draw/view.js';
import type { Letter } from '../rig/letters.js';
import type { PageMesh } from './page-data.js';

/** What the script of a handbook gets from its page, as JSON. */
export interface HandbookLive {
  /** Texts of packed numbers; what uses one holds its index. */
  readonly pool: readonly string[];
  /** By rule. */
  readonly pairs: Readonly<Record<string, LivePair>>;
}

/** A chain at fault and mended, to be curled together. */
export interface LivePair {
  /** Names of the first and the last joint that turn. */
  readonly ends: readonly [first: string, last: string];
  /** What they are called, where that is not from the first to the last. */
  readonly called?: string;
  /** What is turned first, by how much each joint, and from where it is seen. */
  readonly letter: Letter;
  readonly degrees: number;
  readonly view: View['name'];
  readonly sides: readonly [atFault: LiveSide, mended: LiveSide];
}

/** One side: nodes parents first, and a mesh that they move. */
export interface LiveSide {
  /** Parent of each node, -1 at the top. */
  readonly parents: readonly number[];
  /** Float32, 16 numbers a node: the local matrices as shown, and as the mesh was bound. */
  readonly shown: Pooled;
  readonly bound: Pooled;
  /** Nodes that are joints, and those of them that turn. */
  readonly joints: readonly number[];
  readonly turned: readonly number[];
  readonly mesh: LiveMesh;
}

/** As the mesh of a page, in the world as bound; a slot is a node. */
export interface LiveMesh
  extends Pick<PageMesh, 'origin' | 'step'>,
    Readonly<Record<'positions' | 'triangles' | 'slots' | 'weights', Pooled>> {}

/** Packed numbers, their text by its index in the pool. */
export interface Pooled {
  readonly type: 'u8' | 'u16' | 'u32' | 'f32';
  readonly at: number;
}
