import type { HandbookLink } from '../report/handbook-link.js';
import { text } from './markup.js';

/** The id of a rule, which leads to its entry in the handbook where there is one. */
export function ruleMark(id: string, handbook: HandbookLink | undefined): string {
  const address = handbook?.(id) ?? null;
  const code = `<code>${text(id)}</code>`;
  return address === null ? code : `<a href="${text(address)}">${code} in the handbook</a>`;
}
