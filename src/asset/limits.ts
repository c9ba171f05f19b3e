/**
 * Bounds that keep a hostile or broken file from taking the machine with it. Each is far above
 * what a real character needs, so a file that passes one is not a character.
 */
export const ASSET_LIMITS = {
  /** Bytes of JSON: V8 cannot hold a longer string. */
  jsonBytes: 2 ** 29 - 24,
  /** Bytes of geometry, weights and clips read from one asset. */
  readBytes: 2 ** 31 - 1,
  /** Bytes that accessors may take once decoded, compressed ones and zero-filled ones included. */
  decodedBytes: 2 ** 31 - 1,
  /** Bytes of accessors that have no data of their own: only a trap needs many of them. */
  zeroBytes: 2 ** 26,
  /** A meshopt stream may grow by this much; constant data comes near it. */
  meshoptGrowth: 1000,
  /** Vertices of all skinned primitives as the nodes show them. */
  vertices: 10_000_000,
  /** Rigs times nodes: each rig has tables as long as the nodes. */
  rigNodes: 20_000_000,
  /** Nodes in an asset. */
  nodes: 1_000_000,
  /**
   * Letters of a name. The longest in published rigs has 34; every path below a joint repeats its name.
   */
  nameLetters: 2 ** 17,
  /**
   * Letters that the report of one asset may hold, numbers counted as some. A rig of 840 joints in one
   * chain takes a thirteenth of it. Forms that are written in one piece cannot be longer than the engine's
   * longest text, 512 MiB, for all assets of a run.
   */
  reportLetters: 2 ** 23,
} as const;
