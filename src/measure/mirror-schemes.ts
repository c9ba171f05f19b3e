/**
 * How the right frame follows from the left, with S = diag(-1, 1, 1): S R_left with all three axes
 * reversed (equal turns look mirrored), with one of them reversed, or R_left itself.
 */
export type MirrorScheme = (typeof MIRROR_SCHEMES)[number];
/** All schemes, in the order in which the first of equals is taken. */
export const MIRROR_SCHEMES = [
  'all reversed',
  'side reversed',
  'up reversed',
  'aim reversed',
  'copied',
] as const;

/** What each makes of the frame of a left joint, for people: `the right frame is ...`. */
export const SCHEME_WORDS: Readonly<Record<MirrorScheme, string>> = {
  'all reversed': 'the mirrored left frame with all three axes reversed',
  'side reversed': 'the mirrored left frame with its third axis (neither aim nor up) reversed',
  'up reversed': 'the mirrored left frame with its up axis reversed',
  'aim reversed': 'the mirrored left frame with its aim axis reversed',
  copied: 'the left frame as it is, not mirrored',
};
