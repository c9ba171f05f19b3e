import { visible } from './visible.js';

/**
 * One line of text for XML 1.0, which has no place for most controls, halves of a surrogate pair,
 * U+FFFE and U+FFFF (2.2, Char), not even as references: escapes in plain letters stand in for
 * them. Markup is left to whoever writes the XML.
 */
export function xmlLine(text: string): string {
  return visible(text).replace(
    /[\ufffe\uffff]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16)}`,
  );
}
