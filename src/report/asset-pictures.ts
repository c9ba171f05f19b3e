import type { Level } from '../kit/finding.js';

/** Everything a page shows of an asset besides its report. Made where the asset is checked. */
export interface AssetPictures {
  /** Silhouettes that the drawings share. */
  readonly defs: string;
  /** A drawing each rig. */
  readonly sheets: readonly string[];
  /** A drawing each finding, in the report's order; null where there is no place to draw. */
  readonly findings: readonly (string | null)[];
  /** The small outline of the largest rig. */
  readonly silhouette: string;
  /** A rig each, from the side that shows most of it: a small outline, and the rig with its findings marked. Empty where nobody asked. */
  readonly views: readonly { readonly small: string; readonly whole: UnnumberedView }[];
  /** `PageData` as JSON. */
  readonly data: string;
}

/**
 * A rig with room for the numbers of its findings, which it gets later: feedback numbers by a list of all
 * that was handed in, which is not known where one asset is drawn.
 */
export interface UnnumberedView {
  readonly label: string;
  readonly frame: readonly [x: number, y: number, width: number, height: number];
  /** All of it but the badges, as markup. */
  readonly ground: string;
  readonly badges: readonly UnnumberedBadge[];
}

/** Where the badge of a joint stands, and the gravest level of what was found there. */
export interface UnnumberedBadge {
  readonly joint: number;
  readonly level: Level;
  /** Picture units. */
  readonly box: Readonly<Record<'x' | 'y' | 'width' | 'height', number>>;
}
