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
 * Says which patterns of approved rigs fit nothing in the folders that are searched, once each. Throws
 * UsageError where only rules about approved rigs are to run and there is none for any file: all would be
 * found sound without a look.
 *
 * @param only What `--only` names.
 */
export async function tellIdleApproved(
  found: readonly FoundAsset[],
  paths: readonly string[],
  { approved, settings: { rules } }: Pick<ChosenSettings, 'approved' | 'settings'>,
  { heldToOf, compared }: Pick<Terms, 'heldToOf' | 'compared'>,
  only: readonly string[] | undefined,
  io: Io,
): Promise<void> {
  const files = found.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  const patterns = new Set([...approved, ...files.flatMap((path) => heldToOf(path).approved)]);
  if (patterns.size === 0) return;
  const isAny = found.some(({ kind }) => kind !== 'nothing');
  if (compared === null && isAny && rules.every((rule) => rule.onApproved))
    throw new UsageError(noneWords([...patterns], found, only ?? []));
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

function noneWords(
  patterns: readonly ApprovedPattern[],
  found: readonly FoundAsset[],
  only: readonly string[],
): string {
  const standards = [...new Set(patterns.map(({ standard }) => standard))];
  const [first] = found;
  const which =
    first !== undefined && found.length === 1 ? first.shown : `any of these ${found.length} files`;
  return visible(
    `${only.join(', ')}: no approved rig is named for ${which} in the standard ${standards.join(', ')}; add a pattern for it under "approved", or use "trysquare compare APPROVED CANDIDATE"`,
  );
}

function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true;
}
