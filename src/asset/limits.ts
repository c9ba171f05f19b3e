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
  /** Nodes in an asset. */
  nodes: 1_000_000,
} as const;
