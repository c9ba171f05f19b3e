import { DRAWING_CSS } from '../draw/drawing-css.js';
import type { Rule } from '../kit/rule.js';
import { fileNames } from '../report/file-names.js';
import type { ReportStream } from '../report/report-stream.js';
import type { ReportHead } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import { cardOf, type IndexCard, writeIndex } from './index-html.js';
import { writePage } from './page-html.js';

export interface HtmlContext {
  readonly rules: readonly Rule[];
  /** The viewer, a classic script. */
  readonly script: string;
  /** Paths of all assets of the run, in order. */
  readonly names: readonly string[];
  /** Where the pages of several assets go; null where there is no place for them. */
  readonly pages: PagesPlace | null;
}

export interface PagesPlace {
  /** Address of the folder, relative to the index. */
  readonly folder: string;
  /** Address of the index, relative to a page. */
  readonly index: string;
  write(name: string, html: string): void;
  /** Takes back what was written where nothing was before. */
  discard(): void;
}

/** The page of a single asset, or pages and then the index of them. */
export function htmlStream(head: ReportHead, context: HtmlContext): ReportStream {
  return context.pages === null
    ? singlePage(head, context)
    : manyPages(head, context, context.pages);
}

const GIVEN = { drawingStyle: DRAWING_CSS, points: null, order: null };

function singlePage(head: ReportHead, { rules, script }: HtmlContext): ReportStream {
  return {
    head: () => '',
    asset: (asset, pictures) =>
      writePage({ ...GIVEN, head, asset, pictures, rules, script, index: null }),
    end: () => '',
  };
}

function manyPages(
  head: ReportHead,
  { rules, script, names }: HtmlContext,
  { folder, index, write, discard }: PagesPlace,
): ReportStream {
  const files = fileNames(names);
  // A name can stand in a list twice; each is taken once, in order.
  const fileOf = groupBy(files.keys(), (at) => names[at] ?? '');
  const cards: IndexCard[] = [];
  return {
    head: () => '',
    asset: (asset, pictures) => {
      const at = fileOf.get(asset.path)?.shift() ?? -1;
      const file = `${files[at] ?? `asset-${cards.length + 1}`}.html`;
      write(file, writePage({ ...GIVEN, head, asset, pictures, rules, script, index }));
      const address = `${folder}/${file}`.split('/').map(encodeURIComponent).join('/');
      cards.push(cardOf(asset, address, pictures?.silhouette ?? ''));
      return '';
    },
    end: (end) => writeIndex(titleOf(head), cards, head, end, DRAWING_CSS),
    discard,
  };
}

function titleOf({ part }: ReportHead): string {
  return part === null ? 'Rigs' : `Rigs, part ${part.index} of ${part.of}`;
}
