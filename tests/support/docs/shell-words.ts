/**
 * The words of a command line as a shell splits it, as far as the pages need: quotes and comments.
 * Throws where the line holds what this does not know, such as a pipe: that would not be run.
 */
export function shellWords(line: string): string[] {
  const parts = line.matchAll(/\s*(?:(#.*)|((?:"[^"$`\\]*"|'[^']*'|[^\s"'#>|&;<$`\\])+)|(\S))/gy);
  const words: string[] = [];
  for (const [, comment, word, unknown] of parts) {
    if (unknown !== undefined) throw new Error(`"${unknown}" in the line "${line}" is not known`);
    if (comment !== undefined) break;
    if (word !== undefined) words.push(word.replace(/"([^"]*)"|'([^']*)'/g, '$1$2'));
  }
  return words;
}
