import type { Level } from '../kit/finding.js';

/** How the rigs of an asset are like those of a model of the same mesh. */
export interface LikeReport {
  /** The model's file, as people know it. */
  readonly model: string;
  /** Rigs that the model was laid over, in the order of the model. */
  readonly rigs: readonly LikedRig[];
  /** Rigs of the model that no rig of the asset has the mesh of. */
  readonly unlike: readonly UnlikeRig[];
}

/** A rig of the model. */
export interface UnlikeRig {
  /** Its place among the rigs of the model, and its name there. */
  readonly of: number;
  readonly name: string;
  readonly joints: number;
}

export interface LikedRig extends UnlikeRig {
  /** Index of the rig in its asset, and its name there. */
  readonly rig: number;
  readonly own: string;
  /** Joints of the model that are in place in the rig. */
  readonly inPlace: number;
  /** From how far on a joint is out of place. % of the model's size. */
  readonly limit: number;
  /** Missing branches, then joints out of place, in the order of the model. */
  readonly faults: readonly LikeFault[];
  /** Joints of the rig that the model does not have and that move skin, by their names. */
  readonly extra: readonly string[];
}

export type LikeFault =
  | {
      readonly kind: 'missing';
      readonly level: Level;
      /** Names in the model, the topmost first. */
      readonly joints: readonly string[];
    }
  | {
      readonly kind: 'place';
      readonly level: Level;
      /** Its name in the model, and in the rig; null where the bones of the rig were measured. */
      readonly joint: string;
      readonly own: string | null;
      /** How far it is off, in % of the model's size, and in words with the unit. */
      readonly percent: number;
      readonly away: string;
    };
