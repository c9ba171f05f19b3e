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
  return text.replace(HIDDEN, escaped);
}

/** The escape of one UTF-16 code unit. */
export function escaped(letter: string): string {
  return `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`;
}

/**
 * One line of text for XML 1.0, which has no place for most controls, halves of a surrogate pair,
 * U+FFFE and U+FFFF (2.2, Char), not even as references: escapes in plain letters replace them.
 * Markup is left to whoever writes the XML.
 */
export function xmlLine(text: string): string {
  return visible(text).replace(/[\ufffe\uffff]/g, escaped);
}
