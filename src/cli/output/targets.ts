import { realpathSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { didYouMean } from '../../house/nearest.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { baseNames } from '../paths/base-folder.js';
import { isAssetEnding } from '../paths/find-assets.js';
import type { Format, OutputFlags, Target } from './format.js';
import { DEFAULT_FORMAT, ENDINGS, FORMATS, formatNamed } from './formats/index.js';
import { refuseExisting } from './write-output.js';

/**
 * The reports that are asked for. Without `--out` one goes to standard output; each `--out` names a
 * file, or standard output as `-`. Throws UsageError, also for a file that is there already.
 */
export function chooseTargets(flags: OutputFlags, io: Io): Target[] {
  const { out = [], replace } = flags;
  const format = flags.format === undefined ? null : formatNamed(flags.format);
  if (replace === true && out.every((name) => name === '-'))
    throw new UsageError('--replace goes with --out FILE');
  if (format !== null && out.length > 1)
    throw new UsageError(
      '--format is for one report; with several --out, the ending of each name gives its format',
    );
  const targets =
    out.length === 0
      ? [{ format: format ?? DEFAULT_FORMAT, path: null, shown: '-' }]
      : out.map(
          (name): Target => ({
            format: format ?? formatOf(name),
            path: name === '-' ? null : resolve(io.cwd, name),
            shown: name,
          }),
        );
  for (const item of FORMATS.filter((one) => !targets.some((target) => target.format === one)))
    for (const { key, alone } of item.options ?? [])
      if (flags[key] !== undefined) throw new UsageError(alone);
  baseNames(flags, io);
  const seen = new Set<string | null>();
  for (const { path, shown } of targets) {
    const place = path === null ? null : throughLinks(path);
    if (seen.has(place)) throw new UsageError(`--out names ${visible(shown)} twice`);
    seen.add(place);
    if (path === null) continue;
    if (/[\\/]$/.test(shown))
      throw new UsageError(`--out names a folder, ${visible(shown)}; name a file in it`);
    refuseExisting(path, shown, replace === true);
  }
  return targets;
}

/** The path with links to its folder followed, so that one place is known by whatever name. */
function throughLinks(path: string): string {
  try {
    return join(realpathSync(dirname(path)), basename(path));
  } catch {
    // That its folder is not there is told when it is written to.
    return path;
  }
}

/** A name without an ending is a text. Throws UsageError for an ending that tells no form. */
function formatOf(name: string): Format {
  const ending = /\.(\w+)$/i.exec(name)?.[1]?.toLowerCase();
  // That an asset would be written over is told later, by its name.
  if (ending === undefined || isAssetEnding(ending)) return DEFAULT_FORMAT;
  const format = ENDINGS.get(ending);
  if (format !== undefined) return format;
  const known = [...ENDINGS.keys()].map((item) => `.${item}`);
  throw new UsageError(
    `--out names ${visible(name)}, but no report has that ending; use one of ${known.join(', ')}, or add --format.${didYouMean(`.${ending}`, known)}`,
  );
}
