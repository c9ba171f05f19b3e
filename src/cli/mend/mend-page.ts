import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { Settings } from '../../check/settings.js';
import type { MendStory } from '../../draw/mended/mend-story.js';
import type { MendResult } from '../../mend/mend-asset.js';
import type { HandbookLink } from '../../report/handbook-link.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { type HandbookPlace, handbookPlace } from '../output/handbook-place.js';
import { readPageScript } from '../output/html-output.js';
import { refuseExisting, tell, writeWhole } from '../output/write-output.js';
import { isSameFile } from '../paths/link-end.js';
import type { MendFlags } from './mend-flags.js';

/** The page that `--page` asks for: told of the mend before files are written, and written after them. */
export interface MendPage {
  /**
   * Takes in what is to be shown, from the file as it is and the file as it is to be.
   *
   * @param out Name of the mended file; null for a plan alone.
   */
  tell(path: string, result: MendResult, settings: Settings, out: string | null): Promise<void>;
  write(): Promise<void>;
}

/** Null where nobody asks for one. Throws UsageError for all that is in the way, before anything is done. */
export function openMendPage(file: string, flags: MendFlags, io: Io): MendPage | null {
  const { page: names } = flags;
  if (names === undefined) return null;
  // One that is named and leads nowhere is told before anything is done.
  handbookPlace(flags, {}, io);
  const pages = names.map((name) => onePage(name, file, flags, io));
  const twice = pages.find(({ target }, at) =>
    pages.slice(0, at).some((other) => isSameFile(other.target, target)),
  );
  if (twice !== undefined)
    throw new UsageError(`--page names ${twice.shown} twice; name another file`);
  return {
    async tell(path, result, settings, written) {
      // Drawing starts where it is asked for.
      const { tellStory } = await import('./mend-story.js');
      const story = await tellStory(path, result, settings, written);
      const handbook = handbookPlace(flags, settings, io);
      for (const page of pages) await page.take(story, handbook);
    },
    async write() {
      for (const page of pages) await page.write();
    },
  };
}

/** One page or drawing, by the ending of its name. */
function onePage(page: string, file: string, { out, replace = false }: MendFlags, io: Io) {
  const shown = visible(page);
  const [, ending] = /\.(html?|svg)$/i.exec(page) ?? [];
  if (ending === undefined)
    throw new UsageError(
      `--page names "${shown}"; name a file that ends in .html for a page, or in .svg for a drawing`,
    );
  const target = resolve(io.cwd, page);
  if (!existsSync(dirname(target)))
    throw new UsageError(`${shown} cannot be written: its folder does not exist`);
  for (const other of [file, ...(out === undefined ? [] : [out])])
    if (isSameFile(target, resolve(io.cwd, other)))
      throw new UsageError(`--page and the asset are the same file, ${shown}; name another file`);
  refuseExisting(target, shown, replace);
  const isDrawing = ending.toLowerCase() === 'svg';
  const script = isDrawing ? '' : readPageScript(io);
  let content: string | null = null;
  return {
    target,
    shown,
    async take(story: MendStory, handbook: HandbookPlace | null) {
      content = isDrawing
        ? await drawn(story)
        : await htmlOf(story, script, handbook?.from(dirname(target)));
    },
    async write() {
      if (content === null) return;
      writeWhole(target, shown, content, replace);
      await tell(io, `the ${isDrawing ? 'drawing' : 'page'} of before and after is ${shown}`);
    },
  };
}

async function drawn(story: MendStory): Promise<string> {
  const { drawMendSheet } = await import('../../draw/mended/mend-sheet.js');
  return drawMendSheet(story);
}

async function htmlOf(
  story: MendStory,
  script: string,
  handbook: HandbookLink | undefined,
): Promise<string> {
  const { writeMendPage } = await import('../../page/mended/mend-html.js');
  const { packPairs } = await import('../../page/mended/pack-pairs.js');
  return writeMendPage(story, await packPairs(story.pairs), script, handbook);
}
