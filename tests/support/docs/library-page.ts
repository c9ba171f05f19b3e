import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative, resolve } from 'node:path';
import { repository } from '../source-copy.js';

/** One name that the library exports. */
export interface LibraryEntry {
  readonly name: string;
  /** The source file that declares it, from the repository, without its ending. */
  readonly from: string;
  /** The declaration, as the compiler writes it. */
  readonly code: string;
  /** Its doc comment as one text; empty where it has none. */
  readonly tells: string;
}

/** Where names come from, in the order of the page; the first that fits. */
const GROUPS: readonly (readonly [path: RegExp, title: string])[] = [
  [/^src\/(library|check|standard|asset|mend|waivers)\/|^rules\//, 'Checking and mending'],
  [/^src\/kit\//, 'Making rules'],
  [/^src\/measure\//, 'Measures of a rig'],
  [/^src\/rig\//, 'The rig itself'],
  [/./, 'Reports'],
];

/** The page of all that the library exports, by group and name. */
export function libraryPage(): string {
  const all = libraryEntries();
  const groupOf = ({ from }: LibraryEntry): string =>
    GROUPS.find(([path]) => path.test(from))?.[1] ?? '';
  return GROUPS.map(([, title]) => {
    const entries = all.filter((entry) => groupOf(entry) === title);
    return [`## ${title}`, ...entries.map(section)].join('\n\n');
  }).join('\n\n');
}

function section({ name, code, tells }: LibraryEntry): string {
  const parts = [`### ${name}`, tells, `\`\`\`ts\n${code}\n\`\`\``];
  return parts.filter((part) => part !== '').join('\n\n');
}

/** What the compiler declares for every export of the library, by name. */
export function libraryEntries(): LibraryEntry[] {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-declared-'));
  try {
    const tsc = join(repository, 'node_modules/typescript/bin/tsc');
    const project = ['-p', join(repository, 'tsconfig.build.json'), '--outDir', folder];
    execFileSync(process.execPath, [tsc, ...project]);
    const index = join(folder, 'src/index.d.ts');
    return entriesOf(index, folder).sort((a, b) => order(a.name, b.name));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** As a person looks for it, capitals or not. */
function order(a: string, b: string): number {
  const [one, other] = [a.toLowerCase(), b.toLowerCase()];
  return one < other ? -1 : one > other ? 1 : a < b ? -1 : 1;
}

function entriesOf(index: string, root: string): LibraryEntry[] {
  const exported = /^export (type )?(?:\* as (\w+)|(\*)|\{([^}]*)\}) from '(.*?)';$/gm;
  return [...readFileSync(index, 'utf8').matchAll(exported)].flatMap((found) => {
    const [, , all, star, names = '', path = ''] = found;
    const file = resolve(dirname(index), path.replace(/\.js$/, '.d.ts'));
    const text = readFileSync(file, 'utf8');
    const from = relative(root, file)
      .replaceAll('\\', '/')
      .replace(/\.d\.ts$/, '');
    if (all !== undefined) return [{ name: all, from, ...namespaceOf(all, text) }];
    const wanted =
      star === undefined
        ? names.split(',').map((name) => name.trim().replace(/^type /, ''))
        : typesOf(text);
    return wanted.filter((name) => name !== '').map((name) => entry(name, text, from));
  });
}

/** Everything of a module under one name, a line each. */
function namespaceOf(name: string, text: string): Pick<LibraryEntry, 'code' | 'tells'> {
  const names = [...text.matchAll(/^export declare (?:function|const) (\w+)/gm)];
  const lines = names.map(([, each = '']) => {
    const { code, tells } = entry(each, text, '');
    return `    /** ${tells} */\n    ${code.replace(/\n/g, '\n    ')}`;
  });
  return { code: `declare namespace ${name} {\n${lines.join('\n')}\n}`, tells: '' };
}

function typesOf(text: string): string[] {
  return [...text.matchAll(/^export (?:declare )?(?:interface|type|class) (\w+)/gm)].map(
    ([, name = '']) => name,
  );
}

/** The declaration of a name, with the comment before it. Throws where a file has none. */
function entry(name: string, text: string, from: string): LibraryEntry {
  const lines = text.split('\n');
  const head = new RegExp(
    `^export (?:declare )?(?:abstract )?(?:const|function|interface|type|class) ${name}\\b`,
  );
  const first = lines.findIndex((line) => head.test(line));
  if (first === -1) throw new Error(`${from} declares no ${name}`);
  // A declaration goes on in lines that are set in, or begin with what closes.
  let end = first + 1;
  while (/^[\s}|]/.test(lines[end] ?? 'export')) end++;
  let begin = first;
  if (/\*\/$/.test(lines[first - 1] ?? ''))
    do begin--;
    while (!/^\/\*\*/.test(lines[begin] ?? '/**'));
  const code = lines
    .slice(first, end)
    .join('\n')
    .replace(/^export (?:declare )?/, '')
    .replace(/import\("[^"]*"\)\.(?=\w)/g, '')
    .trimEnd();
  const tells = lines.slice(begin, first).map(bare).join('\n').trim();
  return { name, from, code, tells: paragraphs(tells) };
}

/** A line of a comment without what makes it one. */
function bare(line: string): string {
  return line.replace(/^\/?\s*\*+\/? ?/, '').replace(/ ?\*\/$/, '');
}

/** Lines put together to paragraphs; a tag begins one of its own. */
function paragraphs(text: string): string {
  return text
    .replace(/\n(?=@)/g, '\n\n')
    .split(/\n{2,}/)
    .map((part) => part.replace(/\s*\n\s*/g, ' '))
    .map((part) => part.replace(/^@param (\S+) /, '`$1`: ').replace(/^@throws /, 'Throws '))
    .join('\n\n');
}
