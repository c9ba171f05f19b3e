/**
 * Controls that a terminal or a viewer obeys instead of showing (CWE-150), the bidirectional ones
 * that reorder what is read (CVE-2021-42574), line and paragraph separators, and halves of a
 * surrogate pair, which no encoder can write. With the `u` flag, `\p{Surrogate}` matches such
 * halves only, never a whole pair.
 */
const HIDDEN =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]|\p{Surrogate}/gu;

/** Shows every control character of `text` as an escape such as `\u202e`. */
export function visible(text: string): string {
  return text.replace(HIDDEN, escapeOf);
}

function escapeOf(character: string): string {
  return `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`;
}
