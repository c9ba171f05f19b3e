import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { repository } from './source-copy.js';

const readme = readFileSync(join(repository, 'README.md'), 'utf8');

/** A section of the README, from its heading to the next of its level. */
export function section(heading: string): string {
  const text = readme.split(/^(?=## )/m).find((part) => part.startsWith(`## ${heading}\n`));
  if (text === undefined) throw new Error(`the README has no section "${heading}"`);
  return text;
}

/** The first code block after the words that lead to it. */
export function blockAfter(text: string, words: string): string {
  const at = text.indexOf(words);
  const block = /```\w+\n([\s\S]*?)```/.exec(text.slice(at))?.[1];
  if (at < 0 || block === undefined) throw new Error(`no block after "${words}"`);
  return block;
}
