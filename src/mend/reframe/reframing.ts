import type { Trs } from '../../rig/decompose.js';
import type { Mat4 } from '../../rig/mat4.js';
import type { KeyMaps } from './key-maps.js';
import { matrixOf, type Similarity } from './similarity.js';

/** The constant C of a node. What a similarity makes of keys is exact: no matrix is involved. */
export type Frame = Similarity | Mat4;

/** How frames are to be stored from now on, with nothing seen to move. */
export interface Reframing {
  /** C of each node whose frame changes: its new world matrix is W C in every pose. */
  readonly frames: ReadonlyMap<number, Frame>;
  /** Local transforms that nodes are given, without rounding; `frames` has the C that this makes. */
  readonly locals?: ReadonlyMap<number, Similarity>;
  /** New parent of each node that gets another one; -1 for the top. */
  readonly parents?: ReadonlyMap<number, number>;
  /** Nodes whose keys only stay as exact as what they store, so that clips which turn them look different. */
  readonly loose?: ReadonlySet<number>;
}

/** How one node is to be stored. */
export interface NodePlan {
  readonly node: number;
  readonly local: Mat4;
  /** What of the local transform changes, as it is stored; all of it for a node with another parent. */
  readonly stored: Partial<Trs>;
  /** Whether it stores translation, rotation and scale from now on, even if it had a matrix. */
  readonly isSplit: boolean;
  /** The keys of this node become those of `node`: its own, or those of the new parent turned back. */
  readonly source: number;
  readonly isInverse: boolean;
  /** By clip: how its keys change, or null where they have to be resampled. */
  readonly clips: ReadonlyMap<number, KeyMaps | null>;
}

export interface Plan {
  readonly frames: ReadonlyMap<number, Mat4>;
  readonly parents: ReadonlyMap<number, number>;
  readonly nodes: readonly NodePlan[];
  /** By parent: the map that is hung between it and some children, so that these keep their looks. */
  readonly between: ReadonlyMap<
    number,
    { readonly back: Mat4; readonly children: readonly number[] }
  >;
  /** Nodes that no constant product of keys keeps exact, with the first clip that shows it. */
  readonly uneven: readonly { readonly node: number; readonly clip: string }[];
}

export function isMatrix(frame: Frame): frame is Mat4 {
  return frame instanceof Float64Array;
}

export function asMatrix(frame: Frame): Mat4 {
  return isMatrix(frame) ? frame : matrixOf(frame);
}
