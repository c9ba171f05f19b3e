import { text } from '../markup.js';

/** A heading with what stands below it, up to the next heading of its level or above. */
export interface Section {
  /** Markdown of the heading, without its signs; empty for what stands before the first one. */
  readonly title: string;
  readonly blocks: readonly string[];
}

/** The Markdown of a text by headings of one level. */
export function sectionsOf(blocks: readonly string[], level: number): Section[] {
  const mark = `${'#'.repeat(level)} `;
  const sections: { title: string; blocks: string[] }[] = [{ title: '', blocks: [] }];
  for (const block of blocks)
    if (block.startsWith(mark)) sections.push({ title: block.slice(mark.length), blocks: [] });
    else sections.at(-1)?.blocks.push(block);
  return sections;
}

/** The blocks of a text that `grade` wrote, which separates them by an empty line. */
export function blocksOf(markdown: string): string[] {
  return markdown.split(/\n{2,}/).filter((block) => block.trim() !== '');
}

/**
 * One block as HTML: a heading, a list, a table or a paragraph, which is all that feedback is made of.
 *
 * @param down By how many levels a heading is lowered.
 */
export function blockHtml(block: string, down = 0): string {
  const [, signs, title = ''] = /^(#{1,6}) (.*)$/s.exec(block) ?? [];
  if (signs !== undefined) {
    const level = Math.min(6, signs.length + down);
    return `<h${level}>${inlineHtml(title)}</h${level}>`;
  }
  const lines = block.split('\n').filter((line) => line !== '');
  if (lines.every((line) => line.startsWith('- ')))
    return `<ul>${lines.map((line) => `<li>${inlineHtml(line.slice(2))}</li>`).join('')}</ul>`;
  if (lines.every((line) => line.startsWith('|'))) return tableHtml(lines);
  return `<p>${inlineHtml(lines.join(' '))}</p>`;
}

function tableHtml([head = '', , ...rows]: readonly string[]): string {
  const cellsOf = (line: string): string[] =>
    line
      .replace(/^\|\s?|\s?\|$/g, '')
      .split('|')
      .map((cell) => inlineHtml(cell.trim()));
  const heads = cellsOf(head).map((cell) => `<th scope="col">${cell}</th>`);
  const body = rows.map((row) => {
    const [first = '', ...others] = cellsOf(row);
    return `<tr><th scope="row">${first}</th>${others.map((cell) => `<td>${cell}</td>`).join('')}</tr>`;
  });
  return `<table><thead><tr>${heads.join('')}</tr></thead><tbody>${body.join('')}</tbody></table>`;
}

/**
 * Code spans (as many backticks at both ends), strong words, entities, links to an entry of the handbook,
 * and plain text. Brackets of names are written as entities, so that no name makes a link.
 */
const PARTS =
  /(`+)(.*?[^`])\1(?!`)|\*\*(.+?)\*\*|&#(\d{1,7});|\[([\w. -]+)\]\(((?:https?:\/\/|\.\.\/)[^()\s]+)\)|([^`*&[]+)|(`+|.)/gs;

/** The inside of a line as HTML. */
export function inlineHtml(markdown: string): string {
  let html = '';
  for (const [all, , code, strong, entity, words, address] of markdown.matchAll(PARTS)) {
    if (code !== undefined)
      // A path is broken between its parts, as elsewhere on pages.
      html += `<code>${text(unpadded(code)).replaceAll('/', '/<wbr>')}</code>`;
    else if (strong !== undefined) html += `<strong>${inlineHtml(strong)}</strong>`;
    else if (entity !== undefined) html += text(String.fromCodePoint(Number(entity)));
    else if (words !== undefined && address !== undefined)
      html += `<a href="${text(address)}">${text(words)}</a>`;
    else html += text(all);
  }
  return html;
}

/** One space at both ends belongs to the fence (CommonMark 6.1). */
function unpadded(code: string): string {
  return /^ .*[^ ].* $/s.test(code) ? code.slice(1, -1) : code;
}
