import type { AssetReport, Report } from '../../report/report-types.js';
import type { PageData } from '../page-data.js';
import { keepCurrent } from './bench.js';
import { makeControls } from './controls.js';
import { makeHandle } from './handle.js';
import { takeHands } from './hands.js';
import { makeKeeper } from './keep-view.js';
import { linkPage, type PageLinks } from './page-buttons.js';
import { showPairs } from './pair/show-pairs.js';
import { addViewStyle } from './view-style.js';
import { makeViewer, type Viewer } from './viewer.js';

interface View {
  readonly viewer: Viewer;
  readonly links: PageLinks;
}

let live = false;
try {
  const pairs = document.getElementById('pair-data');
  if (pairs !== null) {
    live = showPairs(pairs.textContent, byId);
    byId('view-fallback').hidden = live;
  } else {
    // Both blocks were written into this file together with this script, by one version of the tool.
    const data = JSON.parse(byId('page-data').textContent) as PageData;
    const [asset] = (JSON.parse(byId('report').textContent) as Report).assets;
    const section = document.getElementById('live');
    const keeper = section === null ? null : makeKeeper(asset);
    let view: View | null = null;
    // An asset without a rig has nothing to show: no view, and no word about it.
    if (data.rigs.length > 0) {
      view = showView(data, asset);
      live = view !== null;
      byId('view-fallback').hidden = live;
    }
    // Columns are set by it, and places are looked up once these stand.
    document.documentElement.dataset.view = live ? 'live' : 'none';
    if (section !== null && keeper !== null) {
      keeper.resume(view);
      addEventListener('pagehide', () => keeper.keep(view));
      keepCurrent(section, () => keeper.keep(view));
    }
  }
} catch (error) {
  // Without a view the page is still of use; the console shows the fault.
  console.error(error);
  live = false;
  document.getElementById('view-fallback')?.removeAttribute('hidden');
}
if (!live) document.getElementById('view')?.setAttribute('hidden', '');
document.documentElement.dataset.view = live ? 'live' : 'none';
// Folded parts would be missing on paper.
addEventListener('beforeprint', () => {
  for (const folded of document.querySelectorAll('details')) folded.open = true;
});

/** Builds the live view; null where the browser gives no WebGL. */
function showView(data: PageData, asset: AssetReport | undefined): View | null {
  const section = byId('view');
  addViewStyle();
  // Shown before it is filled: a hidden element has no size.
  section.hidden = false;
  const viewer = makeViewer(data, asset, byId('view-stage'));
  if (viewer === null) return null;
  makeControls(viewer, byId('view-controls'));
  const links = linkPage(viewer, asset, section, byId('view-word'));
  takeHands(viewer, links.mark);
  // On a phone the findings come before all that can be set.
  const more = document.getElementById('view-more');
  if (matchMedia('(max-width: 44rem)').matches) more?.removeAttribute('open');
  Object.assign(globalThis, { trysquareView: makeHandle(viewer) });
  return { viewer, links };
}

function byId(id: string): HTMLElement {
  const element = document.getElementById(id);
  if (element === null) throw new Error(`the page has no element #${id}`);
  return element;
}
