import { UsageError } from '../asset/errors.js';
import { brief } from '../house/house-file.js';
import { cellText, csvTable } from '../report/csv-table.js';
import { compareTexts } from '../rig/sibling-order.js';
import { ByName, type FoundTable, readTable } from './older/csv-rows.js';

/** Which submission has which code: for the teacher alone. */
export interface Key {
  readonly codes: ByName<string>;
  /** Every code of it as it is compared: file systems do not tell cases apart. */
  readonly taken: ReadonlySet<string>;
  /** What the file holds; null where there is none yet. */
  readonly file: { readonly text: string; readonly table: FoundTable } | null;
}

/** The columns of a key. */
const COLUMNS = ['submission', 'code'] as const;

/**
 * Letters and digits that nobody mistakes for each other, read or heard. Without E: a spreadsheet takes
 * 74E39 for a number.
 */
const LETTERS = 'ACDFHJKLMNPQRTUVWXY3479';
const CODE_LENGTH = 5;
/** What a code may be, for it is also the name of files. */
const CODE = /^[A-Za-z0-9](?:[A-Za-z0-9-]{0,38}[A-Za-z0-9])?$/;

export const NO_KEY: Key = { codes: new ByName(), taken: new Set(), file: null };

/**
 * Reads a key, edited by hand or not. Throws UsageError with the line where it is none, or where one code
 * or one submission is in it twice: nobody could tell whose marks those are.
 *
 * @param text Without a byte order mark.
 * @param what What it is and the path as the user knows it: `the key key.csv`.
 */
export function readKey(text: string, what: string): Key {
  const table = readTable(text, what, COLUMNS);
  const [nameAt, codeAt] = COLUMNS.map((column) => table.header.indexOf(column));
  const codes = new ByName<string>();
  const lines = new Map<string, { readonly line: number; readonly name: string }>();
  for (const { line, cells } of table.rows) {
    const [name, code] = [nameAt, codeAt].map((at) => (cells[at ?? -1] ?? '').trim());
    if (name === undefined || code === undefined || (name === '' && code === '')) continue;
    const fail = (fault: string): never => {
      throw new UsageError(`${what} is wrong at line ${line}: ${fault}`);
    };
    if (name === '') fail(`the code "${brief(code)}" has no submission`);
    if (!CODE.test(code))
      fail(
        `"${brief(code)}" is not a code; use 1 to 40 letters, digits and dashes, with a letter or digit at both ends`,
      );
    if (nameKey(code) === nameKey(name))
      fail(`the code of "${brief(name)}" is its name; give it another code`);
    const twin = lines.get(nameKey(code));
    if (twin !== undefined)
      fail(
        `"${brief(name)}" has the same code as "${brief(twin.name)}" at line ${twin.line} (${code}); give one of them another code`,
      );
    if (codes.has(name)) fail(`"${brief(name)}" is in it twice; delete one of the lines`);
    lines.set(nameKey(code), { line, name });
    codes.set(name, code);
  }
  return { codes, taken: new Set(lines.keys()), file: { text, table } };
}

/**
 * Refuses a key with a code that is also what a submission is called, with its ending or without: the
 * code would tell a name, of the wrong one perhaps. Throws UsageError.
 *
 * @param what What it is and the path as the user knows it.
 */
export function refuseNamesAsCodes(key: Key, names: readonly string[], what: string): void {
  for (const name of names)
    for (const called of [name, withoutEnding(name)])
      if (isCode(key, called))
        throw new UsageError(
          `${what} has "${brief(called)}" as a code, and the submission "${brief(name)}" is called so; give one of them another`,
        );
}

function nameKey(name: string): string {
  return name.normalize('NFKC').toLowerCase();
}

/** Whether a text is a code of this key. */
export function isCode(key: Key, text: string): boolean {
  return key.taken.has(nameKey(text));
}

/**
 * A code for each name: the one of the key, else a new one by chance, so that nothing of the name or of
 * the order of names is in it.
 *
 * @param chance A whole number from 0 to below its argument.
 */
export function codesFor(
  names: readonly string[],
  key: Key,
  chance: (below: number) => number,
): { readonly codes: ReadonlyMap<string, string>; readonly added: ReadonlyMap<string, string> } {
  const taken = new Set([...key.taken, ...names.map(nameKey)]);
  const codes = new Map<string, string>();
  const added = new Map<string, string>();
  const isExact = (name: string): boolean => key.codes.has(cellText(name));
  // Two names that a spreadsheet takes for one number, such as 007 and 7, have a code each.
  const used = new Set(names.filter(isExact).map((name) => key.codes.get(name)));
  for (const name of names) {
    const known = key.codes.get(name);
    if (known !== undefined && (isExact(name) || !used.has(known))) {
      used.add(known);
      codes.set(name, known);
      continue;
    }
    let code = newCode(chance);
    while (taken.has(nameKey(code))) code = newCode(chance);
    taken.add(nameKey(code));
    codes.set(name, code);
    added.set(name, code);
  }
  return { codes, added };
}

function newCode(chance: (below: number) => number): string {
  const letters = Array.from({ length: CODE_LENGTH }, () => LETTERS[chance(LETTERS.length)] ?? '');
  return letters.join('');
}

/** The key with new rows at its end; what was in it stays as it is, to the letter. */
export function keyWith({ file }: Key, added: ReadonlyMap<string, string>): string {
  const rows = [...added].sort(([a], [b]) => compareTexts(a, b));
  if (file === null) return csvTable(COLUMNS, rows);
  const { text, table } = file;
  const { header, delimiter } = table;
  const cells = rows.map(([name, code]) =>
    header.map((_, at) => {
      if (at === header.indexOf('submission')) return name;
      return at === header.indexOf('code') ? code : null;
    }),
  );
  const lines = csvTable(header, cells, { delimiter });
  const [end] = /\r\n|\r|\n/.exec(text) ?? ['\r\n'];
  const below = lines.slice(csvTable(header, [], { delimiter }).length).replaceAll('\r\n', end);
  return `${text}${text === '' || /[\r\n]$/.test(text) ? '' : end}${below}`;
}

/**
 * A text of a message with the names of a submission taken out of it: what could not be read is often
 * told by the name of a file.
 *
 * @param names Its own name, and the paths of its files.
 */
export function withoutNames(text: string, names: readonly string[], code: string): string {
  const parts = new Set(names.flatMap((name) => [name, cellText(name), ...pathParts(name)]));
  // The longest first: what is left of a name after a part of it is replaced would still tell it.
  const ordered = [...parts].filter(Boolean).sort((a, b) => b.length - a.length);
  const left = ordered.reduce((text, name) => withoutName(text, name, code), text);
  return left.replace(QUOTED_FILE, '"(a file)"').replace(FILE, '(a file)');
}

/** Names of files that an asset refers to; they can tell whose it is as well. */
const QUOTED_FILE = /"[^"]*\.(?:bin|glb|gltf|vrm|png|jpe?g|webp|ktx2|txt)"/giu;
const FILE =
  /[^\s"'()/,;:.][^\s"'()/,;:]*\.(?:bin|glb|gltf|vrm|png|jpe?g|webp|ktx2|txt)(?![\p{L}\p{N}])/giu;
/** Letters of a name that is sought inside of words too. */
const LEAST_INSIDE = 3;

function withoutName(text: string, name: string, code: string): string {
  if (name.length >= LEAST_INSIDE) return text.replaceAll(name, code);
  const escaped = name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  return text.replace(new RegExp(`(?<![\\p{L}\\p{N}])${escaped}(?![\\p{L}\\p{N}])`, 'gu'), code);
}

/** The names along a path, with and without their endings. */
function pathParts(path: string): string[] {
  return path.split('/').flatMap((name) => [name, withoutEnding(name)]);
}

function withoutEnding(name: string): string {
  return name.replace(/\.[^.]{1,5}$/, '');
}
