/** The first code block after the words that lead to it. */
export function blockAfter(text: string, words: string): string {
  const at = text.indexOf(words);
  const block = /```\w+\n([\s\S]*?)```/.exec(text.slice(at))?.[1];
  if (at < 0 || block === undefined) throw new Error(`no block after "${words}"`);
  return block;
}
