import { existsSync, readFileSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { htmlStream, type PagesPlace } from '../../page/html-stream.js';
import type { ReportStream } from '../../report/report-stream.js';
import type { ReportHead } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { StreamContext } from './format.js';
import { handbookPlace } from './handbook-place.js';
import { FileSet, makeFolder } from './write-output.js';

/**
 * The page of one asset; of several, an index at the target and a folder of pages beside it. Throws
 * UsageError where there is no place for them.
 */
export function openHtml(
  head: ReportHead,
  { target: { path, shown }, settings, names, flags, io }: StreamContext,
): ReportStream {
  const context = { rules: settings.known, script: readPageScript(io), names };
  const handbook = handbookPlace(flags, settings, io);
  const leads = (folder: string) => handbook && { handbook: handbook.from(folder) };
  if (names.length === 1)
    return htmlStream(head, {
      ...context,
      pages: null,
      ...leads(path === null ? io.cwd : dirname(path)),
    });
  if (path === null)
    throw new UsageError(
      `${names.length} assets need a page each; write an index and its pages with --out FILE.html`,
    );
  const pages = pagesBeside(path, shown, flags.replace === true);
  return htmlStream(head, { ...context, pages, ...leads(join(dirname(path), pages.folder)) });
}

/** The script of a page. Throws UsageError where it was not built. */
export function readPageScript({ pageScript }: Io): string {
  if (pageScript !== null && existsSync(pageScript)) return readFileSync(pageScript, 'utf8').trim();
  throw new UsageError(
    'this copy of trysquare has no script for its pages; build it with "npm run build"',
  );
}

/** `rigs.html` has its pages in `rigs-pages`. Refuses a folder that is there, unless it may be written into. */
function pagesBeside(path: string, shown: string, replace: boolean): PagesPlace {
  const folder = `${basename(path).replace(/\.html?$/i, '')}-pages`;
  const place = join(dirname(path), folder);
  const shownFolder = visible(join(dirname(shown), folder));
  if (statSync(place, { throwIfNoEntry: false })?.isDirectory() === false)
    throw new UsageError(
      `${shownFolder}, where the pages go, is a file; name another file with --out`,
    );
  if (!replace && existsSync(place))
    throw new UsageError(
      `${shownFolder}, where the pages go, exists already; add --replace to write into it, or name another file`,
    );
  const written = new FileSet(replace);
  return {
    folder,
    index: `../${encodeURIComponent(basename(path))}`,
    write(name, html) {
      makeFolder(place, shownFolder);
      written.write(join(place, name), `${shownFolder}/${visible(name)}`, html);
    },
    discard: () => written.takeBack([place]),
  };
}
