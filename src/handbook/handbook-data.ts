import type { HandbookLive, LivePair } from '../page/handbook-live.js';

/** What the build makes of the cast for the handbook, as JSON. */
export interface HandbookData extends Pick<HandbookLive, 'pool'> {
  /** Silhouettes that drawings refer to: SVG symbols by their ids. */
  readonly symbols: Readonly<Record<string, string>>;
  /** By rule. */
  readonly pairs: Readonly<Record<string, DrawnPair>>;
  /** The pictures of the course, in order: SVG. */
  readonly course: readonly string[];
}

/** One rule, drawn on a character of the cast. */
export interface DrawnPair {
  /** Such as `heron`. */
  readonly character: string;
  /** What was done to it, as a clause. */
  readonly tells: string;
  /** What the rule says of it. */
  readonly message: string;
  readonly remedy: string;
  /** SVG. */
  readonly atFault: string;
  readonly mended: string;
  /** Null where a curl shows nothing of the rule. */
  readonly live: LivePair | null;
}
