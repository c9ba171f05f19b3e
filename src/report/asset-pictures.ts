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
  readonly views: readonly { readonly small: string; readonly whole: string }[];
  /** `PageData` as JSON. */
  readonly data: string;
}
