/** Options of `trysquare standard init`. */
export interface StandardFlags {
  /** Approved rigs that the standard is read off. */
  readonly like?: readonly string[];
  /** Patterns of what a search for them leaves out. */
  readonly without?: readonly string[];
  /** Seconds that each of them may take, each time it is read. */
  readonly timeLimit?: number;
}
