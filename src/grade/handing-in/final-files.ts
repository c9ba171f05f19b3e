import { fits, partsOfPath } from '../../house/asset-pattern.js';
import { brief } from '../../house/house-file.js';
import type { SubmissionRules } from '../../standard/submission-rules.js';

/** Files that a student may name. */
const MOST_NAMED = 100;

/** Which files are marked, as indices of those given, or why a person has to look. */
export type Chosen =
  | { readonly kind: 'files'; readonly at: readonly number[] }
  | { readonly kind: 'none'; readonly reason: string };

/**
 * The final files of a folder: those that the student names, else those that fit a pattern, else all.
 * Cases of letters do not matter. Where what is asked for is not there, or the student's file cannot be
 * followed, a person has to look: guessing would mark the wrong file.
 *
 * @param files Paths in the hand-in's folder, with forward slashes.
 * @param text What the student's file says; null where there is none.
 */
export function chooseFinal(
  files: readonly string[],
  text: string | null,
  { final, named }: SubmissionRules,
): Chosen {
  const keys = files.map(fileKey);
  if (text !== null) return namedBy(text, keys, named ?? 'the text file');
  const all = files.map((_, at) => at);
  if (final === null || files.length === 0) return { kind: 'files', at: all };
  const at = all.filter((index) => {
    const parts = partsOfPath(keys[index] ?? '');
    return final.some(({ pattern }) => fits(pattern, parts));
  });
  if (at.length > 0) return { kind: 'files', at };
  const patterns = final.map(({ text: pattern }) => `"${brief(pattern)}"`).join(' or ');
  const other = named === null ? '' : `, and no ${named} names one`;
  return { kind: 'none', reason: `none of its files is called ${patterns}${other}` };
}

function namedBy(text: string, keys: readonly string[], named: string): Chosen {
  const none = (fault: string): Chosen => ({ kind: 'none', reason: `its ${named} ${fault}` });
  const lines = text
    .replace(/^\uFEFF/, '')
    .split(/\r\n|\r|\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '');
  if (lines.length === 0) return none('is empty; it has to name the final file');
  if (lines.length > MOST_NAMED)
    return none(
      `has ${lines.length} lines (limit ${MOST_NAMED}); write the name of a file on each`,
    );
  const at = new Set<number>();
  for (const line of lines) {
    const index = keys.indexOf(fileKey(line.replaceAll('\\', '/').replace(/^(\.\/)+/, '')));
    if (index === -1)
      return none(
        `names "${brief(line)}", and there is no .glb, .gltf or .vrm file of that name in its folder`,
      );
    at.add(index);
  }
  return { kind: 'files', at: [...at].sort((a, b) => a - b) };
}

function fileKey(path: string): string {
  return path.normalize('NFC').toLowerCase();
}
