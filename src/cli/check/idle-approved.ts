import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { type ApprovedPattern, idlePatterns } from '../../standard/approved-patterns.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';
import type { FoundAsset } from '../paths/find-assets.js';
import type { ChosenSettings } from '../run/choose-settings.js';
import type { Terms } from '../run/comparing.js';

/** A standard can name approved rigs by the hundred. */
const MOST_LINES = 10;

/**
 * Says which patterns of approved rigs fit nothing in the folders that are searched, once each. Where only
 * rules about approved rigs are to run, says which files have none: they are found sound without a look.
 * Throws UsageError where none has one.
 *
 * @param only What `--only` names.
 */
export async function tellIdleApproved(
  found: readonly FoundAsset[],
  paths: readonly string[],
  { approved, settings: { rules } }: Pick<ChosenSettings, 'approved' | 'settings'>,
  { heldToOf, compared, approvedOf }: Pick<Terms, 'heldToOf' | 'compared' | 'approvedOf'>,
  only: readonly string[] | undefined,
  io: Io,
): Promise<void> {
  const files = found.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  const patterns = new Set([...approved, ...files.flatMap((path) => heldToOf(path).approved)]);
  if (patterns.size === 0) return;
  const assets = found.filter(({ kind }) => kind !== 'nothing');
  if (assets.length > 0 && rules.every((rule) => rule.onApproved)) {
    const words = noneWords([...patterns], only ?? []);
    if (compared === null) throw new UsageError(words(assets));
    const isApproved = new Set([...patterns].map(({ path }) => path));
    const left = assets.filter(
      (asset) =>
        approvedOf(asset) === null && !(asset.kind === 'file' && isApproved.has(asset.path)),
    );
    if (left.length > 0) await tell(io, words(left));
  }
  const folders = paths.map((path) => resolve(io.cwd, path)).filter(isFolder);
  const idle = idlePatterns([...patterns], files, folders);
  for (const { text, standard } of idle.slice(0, MOST_LINES))
    await tell(
      io,
      visible(
        `the standard ${standard}: the pattern "${text}" under "approved" fits no file that was found; correct it, or leave it out`,
      ),
    );
  const more = idle.length - MOST_LINES;
  if (more > 0) await tell(io, `${counted(more, 'more pattern')} under "approved" fit no file`);
}

function noneWords(patterns: readonly ApprovedPattern[], only: readonly string[]) {
  const standards = [...new Set(patterns.map(({ standard }) => standard))];
  return (assets: readonly FoundAsset[]): string => {
    const [first] = assets;
    const more = assets.length - 1;
    const which = `${first?.shown ?? ''}${more > 0 ? ` and ${counted(more, 'more file')}` : ''}`;
    return visible(
      `${only.join(', ')}: no approved rig is named for ${which} in the standard ${standards.join(', ')}, so nothing is judged there; add a pattern under "approved", or use "trysquare compare APPROVED CANDIDATE"`,
    );
  };
}

function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true;
}
