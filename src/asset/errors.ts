/**
 * One asset cannot be read. The run goes on with the next one.
 *
 * `where` is a place inside the file that a person can go to: a JSON pointer, a line and column,
 * or a byte offset.
 */
export class AssetError extends Error {
  override readonly name = 'AssetError';

  constructor(
    /** What is wrong, as one sentence without a full stop. */
    readonly reason: string,
    readonly where: string | null = null,
  ) {
    super(where === null ? reason : `${reason} (at ${where})`);
  }
}

/** The command line or the standard is wrong: nothing was checked. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
}
