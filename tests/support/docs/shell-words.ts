/** A command line as a shell splits it, as far as the pages need: quotes, comments, and `> FILE`. */
export interface ShellLine {
  readonly words: readonly string[];
  /** The file that standard output goes to. */
  readonly into: string | null;
}

/** Throws where the line holds what this does not know, such as a pipe: that would not be run. */
export function shellLine(line: string): ShellLine {
  const parts = line.matchAll(
    /\s*(?:(#.*)|(>)|((?:"[^"$`\\]*"|'[^']*'|[^\s"'#>|&;<$`\\])+)|(\S))/gy,
  );
  const words: string[] = [];
  let into: string | null = null;
  let awaits = false;
  for (const [, comment, arrow, word, unknown] of parts) {
    if (unknown !== undefined) throw new Error(`"${unknown}" in the line "${line}" is not known`);
    if (comment !== undefined) break;
    const plain = word?.replace(/"([^"]*)"|'([^']*)'/g, '$1$2');
    if (arrow !== undefined) awaits = true;
    else if (awaits) [into, awaits] = [plain ?? '', false];
    else if (plain !== undefined) words.push(plain);
  }
  return { words, into };
}
