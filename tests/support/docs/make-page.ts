import { extname } from 'node:path';
import { readPage } from './read-page.js';
import { tables } from './tables.js';
import { type Run, Workshop } from './workshop.js';

/** What a page should say, and every command of it that was run to know. */
export interface MadePage {
  readonly text: string;
  readonly runs: readonly Run[];
}

/**
 * A made part, from its mark to `<!-- end -->`; a block of commands; or a file of an example, which
 * the commands after it find. The mark of a made part names a table, `run` with a command whose
 * output is shown, or `file` with a file that a command before it wrote.
 */
const PART =
  /<!-- made: (\w+)(?: (.*?))? -->\n[\s\S]*?<!-- end -->|^```sh\n([\s\S]*?)^```$|<!-- example: (.*?) -->\n+```\w+\n([\s\S]*?)^```$/gm;

/**
 * Makes a page anew: its own text with the made parts made again. Its commands are run in their
 * order in one folder, so that each finds what those before it wrote.
 */
export async function makePage(path: string): Promise<MadePage> {
  const text = readPage(path);
  const workshop = new Workshop();
  try {
    const parts: string[] = [];
    let end = 0;
    for (const match of text.matchAll(PART)) {
      const [whole, name, rest = '', block = '', example, content = ''] = match;
      parts.push(text.slice(end, match.index));
      if (name !== undefined) {
        const made = await makePart(name, rest, workshop);
        if (made === null) throw new Error(`${path} asks for "${name}", which nothing makes`);
        parts.push(`<!-- made: ${[name, rest].join(' ').trim()} -->\n\n${made}\n\n<!-- end -->`);
      } else {
        if (example !== undefined) workshop.write(example, content);
        for (const line of block.split('\n')) await workshop.runLine(line);
        parts.push(whole);
      }
      end = match.index + whole.length;
    }
    return { text: parts.join('') + text.slice(end), runs: workshop.runs };
  } finally {
    workshop.close();
  }
}

/** What a reader of Markdown is told a file is written in: ours in JSON may hold comments. */
const LANGUAGES: Readonly<Record<string, string>> = { '.json': 'jsonc', '.md': 'markdown' };

async function makePart(name: string, rest: string, workshop: Workshop): Promise<string | null> {
  if (name === 'run') {
    const { stdout, stderr } = await workshop.run(rest);
    return fenced('text', `$ ${rest}\n${stdout}${stderr}`);
  }
  if (name === 'file') return fenced(LANGUAGES[extname(rest)] ?? 'text', workshop.read(rest));
  return tables[name]?.() ?? null;
}

function fenced(language: string, text: string): string {
  return `\`\`\`${language}\n${text.trimEnd()}\n\`\`\``;
}
