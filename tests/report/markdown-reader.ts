import MarkdownIt, { type Token } from 'markdown-it';

// As open as a service may be: HTML is let through, and bare addresses become links.
const reader = new MarkdownIt({ html: true, linkify: true });

/** All parts of a text, those inside paragraphs and cells included. */
function partsOf(markdown: string): Token[] {
  return reader.parse(markdown, {}).flatMap((token) => [token, ...(token.children ?? [])]);
}

const MORE_THAN_WORDS =
  /^(html_block|html_inline|link_open|image|em_open|s_open|fence|code_block|blockquote_open|hr|softbreak|hardbreak)$/;

/** Parts that are more than words: HTML, links, images, emphasis and the like. */
export function markupOf(markdown: string): string[] {
  return partsOf(markdown)
    .filter(({ type }) => MORE_THAN_WORDS.test(type))
    .map(({ type, content, attrs }) => `${type} ${content}${attrs?.join() ?? ''}`);
}

/** Words outside of code, where services look for mentions, references and addresses. */
export function looseWords(markdown: string): string[] {
  return partsOf(markdown)
    .filter(({ type }) => type === 'text')
    .map(({ content }) => content);
}

/** Every table's rows, headings first: what each cell shows. */
export function cellsOf(markdown: string): string[][] {
  const rows: string[][] = [];
  for (const token of reader.parse(markdown, {})) {
    if (token.type === 'tr_open') rows.push([]);
    if (token.type === 'inline' && token.level === CELL_LEVEL) rows.at(-1)?.push(shown(token));
  }
  return rows;
}

/** Table, part of it, row, cell. */
const CELL_LEVEL = 4;

/** What each heading shows. */
export function headingsOf(markdown: string): string[] {
  const tokens = reader.parse(markdown, {});
  return tokens.flatMap((token, at) =>
    tokens[at - 1]?.type === 'heading_open' ? [shown(token)] : [],
  );
}

/** What each item of a list shows. */
export function itemsOf(markdown: string): string[] {
  const tokens = reader.parse(markdown, {});
  return tokens.flatMap((token, at) =>
    tokens[at - 2]?.type === 'list_item_open' ? [shown(token)] : [],
  );
}

function shown({ children }: Token): string {
  return (children ?? []).map(({ content }) => content).join('');
}
