/**
 * One asset cannot be read. The run goes on with the next one.
 *
 * `where` is a place inside the file that a person can go to: a JSON pointer, a line and column,
 * or a byte offset.
 */
export class AssetError extends Error {
  override readonly name = 'AssetError';
  /** What is wrong, as one sentence without a full stop. */
  readonly reason: string;
  readonly where: string | null;

  constructor(reason: string, where: string | null = null) {
    super(where === null ? reason : `${reason} (at ${where})`);
    this.reason = shorten(reason);
    this.where = where === null ? null : shorten(where);
  }
}

/** The command line or the standard is wrong: nothing was checked. */
export class UsageError extends Error {
  override readonly name: string = 'UsageError';
}

/**
 * The machine lacks what the run needs, be it files that may be open or the folder it runs in: the run
 * ends, since no asset is at fault and none after it would fare better.
 */
export class MachineError extends UsageError {
  override readonly name: string = 'MachineError';
}

/** Letters of a reason: a file can put a megabyte into a name. */
const LONGEST = 240;

function shorten(text: string): string {
  return text.length > LONGEST ? `${text.slice(0, LONGEST)}...` : text;
}
