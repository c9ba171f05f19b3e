/**
 * The line and column of a character offset, both from 1, the column in UTF-16 code units. Lines end at
 * LF, CR LF or CR.
 */
export function lineAndColumn(text: string, offset: number): { line: number; column: number } {
  let [line, lineStart] = [1, 0];
  const end = Math.min(offset, text.length);
  for (let index = 0; index < end; index++) {
    const code = text.charCodeAt(index);
    if (code === 10 || (code === 13 && text.charCodeAt(index + 1) !== 10)) {
      line++;
      lineStart = index + 1;
    }
  }
  return { line, column: end - lineStart + 1 };
}
