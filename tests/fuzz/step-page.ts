import { rules } from '../../rules/index.js';
import { reportHead } from '../../src/check/make-report.js';
import { writePage } from '../../src/page/page-html.js';
import { picturesOf } from '../../src/page/pictures-of.js';
import { drawnAsset, notDrawn } from './drawn-asset.js';
import { pageDataFaults, pictureFaults } from './picture-faults.js';
import type { Step } from './step.js';

/** `trysquare check --format html`. */
export const pageStep: Step = {
  name: 'page',
  async work(subject) {
    const { asset, scene } = await drawnAsset(subject);
    const pictures = scene === null ? null : await picturesOf(scene, asset);
    const page = writePage({
      head: reportHead(subject.settings),
      asset,
      pictures,
      rules,
      script: '',
      index: null,
      points: null,
      order: null,
    });
    return () => {
      const lost = blockFaults(page, 'report');
      if (pictures === null) {
        const { outcome, faults } = notDrawn(asset);
        return { outcome, faults: [...faults, ...lost] };
      }
      const { defs, sheets, findings, silhouette, data } = pictures;
      const drawn = [
        pictureFaults('silhouette', silhouette),
        // Sheets and findings use what `defs` holds.
        pictureFaults(
          'drawings',
          `<div>${defs}${sheets.join('')}${findings.map((one) => one ?? '').join('')}</div>`,
        ),
      ].flat();
      return { outcome: 'written', faults: [...drawn, ...pageDataFaults(data), ...lost] };
    };
  },
};

/** Whether a block of JSON in a page can be read, as a browser finds it. */
function blockFaults(page: string, id: string): string[] {
  const open = new RegExp(`<script[^>]* id="${id}"[^>]*>`).exec(page);
  if (open === null) return [`the page has no block ${id}`];
  const start = open.index + open[0].length;
  try {
    JSON.parse(page.slice(start, page.indexOf('</script', start)));
    return [];
  } catch (error) {
    return [`the block ${id} of the page is no JSON: ${String(error)}`];
  }
}
