/** A signed axis, local or of the world: 0 is X, 1 is Y, 2 is Z. */
export interface Axis {
  readonly index: 0 | 1 | 2;
  readonly sign: 1 | -1;
}
