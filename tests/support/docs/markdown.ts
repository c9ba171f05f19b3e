/** A table of Markdown, its text escaped. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell) => plain(cell).replace(/\|/g, '\\|')).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

/** Text in which no star or bracket means anything to Markdown; what stands in code stays. */
export function plain(text: string): string {
  return text.replace(/(`[^`]*`)|[*<]/g, (found, code: string | undefined) => code ?? `\\${found}`);
}
