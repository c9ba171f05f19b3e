import type { Mat4 } from '../../rig/mat4.js';
import type { Obstacle } from '../carry/carry-plan.js';
import type { KeyMaps } from './key-maps.js';
import { matrixOf, type Similarity } from './similarity.js';
import type { Stored } from './stored.js';

/**
 * The constant C of a node. Given as a similarity, it is one to the last bit: what it makes of keys is
 * worked out without matrices.
 */
export type Frame = Similarity | Mat4;

/** How frames are to be stored from now on, with nothing seen to move. */
export interface Reframing {
  /** C of each node whose frame changes: its new world matrix is W C in every pose. */
  readonly frames: ReadonlyMap<number, Frame>;
  /** Local transforms that nodes get outright, with rounding left out; `frames` has what that makes of them. */
  readonly locals?: ReadonlyMap<number, Similarity>;
  /** New parent of each node that gets another one; -1 for the top. */
  readonly parents?: ReadonlyMap<number, number>;
}

/** How one node is to be stored. */
export interface NodePlan {
  readonly node: number;
  readonly local: Mat4;
  /** What of the local transform changes, as it is stored; all of it for a node with another parent. */
  readonly stored: Partial<Stored>;
  /** Whether it stores translation, rotation and scale from now on, even if it had a matrix. */
  readonly isSplit: boolean;
  /** The keys of this node become those of `node`: its own, or those of the new parent turned back. */
  readonly source: number;
  readonly isInverse: boolean;
  /** By clip: how its keys change, or null where they have to be sampled anew. */
  readonly clips: ReadonlyMap<number, KeyMaps | null>;
}

/** A map that some children of a node have to take back. */
export interface Between {
  readonly back: Mat4;
  readonly children: readonly number[];
}

export interface Plan {
  readonly frames: ReadonlyMap<number, Mat4>;
  readonly parents: ReadonlyMap<number, number>;
  readonly nodes: readonly NodePlan[];
  /** What is hung between a joint and its other children, so that these keep their looks. By parent. */
  readonly between: ReadonlyMap<number, Between>;
  /** Nodes that no constant product of keys keeps exact, with the first clip that shows it. */
  readonly uneven: readonly { readonly node: number; readonly clip: string }[];
}

/** Why a reframing cannot be: one sentence at least, the first of them that of the topmost node. */
export interface Blocked {
  readonly obstacles: readonly [Obstacle, ...Obstacle[]];
}

export function isMatrix(frame: Frame): frame is Mat4 {
  return frame instanceof Float64Array;
}

export function asMatrix(frame: Frame): Mat4 {
  return isMatrix(frame) ? frame : matrixOf(frame);
}
