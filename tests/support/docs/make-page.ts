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
        for (const line of lines(block)) await workshop.runLine(line);
        parts.push(whole);
      }
      end = match.index + whole.length;
    }
    return { text: parts.join('') + text.slice(end), runs: workshop.runs };
  } finally {
    workshop.close();
  }
}

/** The lines of a block of commands; one that ends with a backslash goes on in the next. */
function lines(block: string): string[] {
  return block.replace(/\\\n\s*/g, '').split('\n');
}

/** A file as a page shows it: Markdown as a quotation, since its lines are too long for a block. */
function shown(name: string, text: string): string {
  if (name.endsWith('.md')) {
    // What leads to a file beside it would lead nowhere from here.
    const still = text.replace(/\[([^\]]*)\]\((?!https?:)[^)]*\)/g, '$1');
    return still.trimEnd().replace(/^/gm, '> ').replace(/^> $/gm, '>');
  }
  // Ours may hold comments.
  return fenced(name.endsWith('.json') ? 'jsonc' : 'text', text);
}

async function makePart(name: string, rest: string, workshop: Workshop): Promise<string | null> {
  if (name === 'run') {
    const { stdout, stderr } = await workshop.run(rest);
    return fenced('text', `$ ${rest}\n${stdout}${stderr}`);
  }
  if (name === 'file') return shown(rest, workshop.read(rest));
  return (await tables[name]?.()) ?? null;
}

function fenced(language: string, text: string): string {
  return `\`\`\`${language}\n${text.trimEnd()}\n\`\`\``;
}
