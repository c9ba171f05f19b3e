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
  const targets = (out.length === 0 ? ['-'] : out).map(
    (shown): Target => ({
      format: format ?? formatOf(shown),
      path: shown === '-' ? null : resolve(io.cwd, shown),
      shown,
    }),
  );
  const formats = new Set(targets.map((target) => target.format));
  for (const { options = [] } of FORMATS.filter((other) => !formats.has(other)))
    for (const { key, refusal } of options)
      if (flags[key] !== undefined) throw new UsageError(refusal);
  baseNames(flags, io);
  if (flags.handbook !== undefined && ![...formats].some(({ leads }) => leads === true))
    throw new UsageError('--handbook is for pages and SARIF only; add --format html or sarif');
  const places = new Set<string | null>();
  for (const { path, shown } of targets) {
    const place = path === null ? null : throughLinks(path);
    if (places.has(place)) throw new UsageError(`--out names ${visible(shown)} twice`);
    places.add(place);
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
    // That its folder is missing is reported when it is written to.
    return path;
  }
}

/** The format of a file by its ending, text without one. Throws UsageError for an ending of no format. */
function formatOf(name: string): Format {
  const ending = /\.(\w+)$/i.exec(name)?.[1]?.toLowerCase();
  // That an asset would be written over is reported later, by its name.
  if (ending === undefined || isAssetEnding(ending)) return DEFAULT_FORMAT;
  const format = ENDINGS.get(ending);
  if (format !== undefined) return format;
  const endings = [...ENDINGS.keys()].map((name) => `.${name}`);
  throw new UsageError(
    `--out names ${visible(name)}, but no report has that ending; use one of ${endings.join(', ')}, or add --format.${didYouMean(`.${ending}`, endings)}`,
  );
}
