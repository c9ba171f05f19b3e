import type { Rule } from '../kit/rule.js';
import { fileNames } from '../report/file-names.js';
import type { HandbookLink } from '../report/handbook-link.js';
import type { ReportStream } from '../report/report-stream.js';
import type { ReportHead } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import { cardOf, type IndexCard, writeIndex } from './index-html.js';
import { writePage } from './page-html.js';
import type { PageBench } from './page-source.js';

export interface HtmlContext {
  readonly rules: readonly Rule[];
  /** The viewer, a classic script. */
  readonly script: string;
  /** Paths of all assets of the run, in order. */
  readonly names: readonly string[];
  /** Where the pages of several assets go; null for a single one. */
  readonly pages: PagesPlace | null;
  /** Leads from a page to the entry of a rule; absent where there is no handbook. */
  readonly handbook?: HandbookLink;
  /** How a single page keeps itself current; absent where it does not. */
  readonly bench?: PageBench | undefined;
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
  const { rules, script, names, pages, handbook, bench } = context;
  const leads = handbook && { handbook };
  const common = { head, rules, script, points: null, order: null, ...leads };
  if (pages === null)
    return {
      head: () => '',
      asset: (asset, pictures) => writePage({ ...common, asset, pictures, index: null, bench }),
      end: () => '',
    };
  const files = fileNames(names);
  // A name can be in a list twice; each is taken once, in order.
  const filesOf = groupBy(files.keys(), (index) => names[index] ?? '');
  const cards: IndexCard[] = [];
  return {
    head: () => '',
    asset: (asset, pictures) => {
      const index = filesOf.get(asset.path)?.shift() ?? -1;
      const file = `${files[index] ?? `asset-${cards.length + 1}`}.html`;
      pages.write(file, writePage({ ...common, asset, pictures, index: pages.index }));
      const address = `${pages.folder}/${file}`.split('/').map(encodeURIComponent).join('/');
      // Nothing is drawn of a file without a rig.
      const drawn = asset.rigs.length > 0 ? (pictures?.silhouette ?? '') : '';
      cards.push(cardOf(asset, address, drawn));
      return '';
    },
    end: (end) => writeIndex(titleOf(head), cards, head, end),
    discard: () => pages.discard(),
  };
}

function titleOf({ part }: ReportHead): string {
  return part === null ? 'Rigs' : `Rigs, part ${part.index} of ${part.of}`;
}
